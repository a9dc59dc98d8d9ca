#include "ui/publish/chart_settings.h"
#include "ui/chart/chart_style.h"
#include "ui/publish/earlier_panel.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/fold.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"

#include <QCoreApplication>
#include <QHBoxLayout>
#include <QRegularExpression>
#include <algorithm>

namespace ui {
namespace {

constexpr int labelWidth = 72;
constexpr qint64 firstOwnTheme = 2;
constexpr qint64 sizeFactor = 100000; ///< width times this and height make the number of a size
constexpr std::pair<int, int> usualSizes[] = {{1920, 1080}, {3840, 2160}, {1080, 1920}, {1080, 1080}};

/// "1600 x 900", "1600 × 900", "1600x900".
std::optional<QSize> typedSize(const QString& text)
{
    static const QRegularExpression form(QStringLiteral("^\\s*(\\d{1,5})\\s*[xX\u00d7]\\s*(\\d{1,5})\\s*$"));
    const QRegularExpressionMatch match = form.match(text);
    const QSize size(match.captured(1).toInt(), match.captured(2).toInt());
    const auto fine = [](int side) { return side >= session::leastPictureSide && side <= session::mostPictureSide; };
    return match.hasMatch() && fine(size.width()) && fine(size.height()) ? std::optional(size) : std::nullopt;
}

QString sizeRule()
{
    return QCoreApplication::translate("ui::ChartSettings", "Write width x height in pixels, each from %1 to %2.")
        .arg(session::leastPictureSide)
        .arg(session::mostPictureSide);
}

QString sizeWords(int width, int height) { return QStringLiteral("%1 \u00d7 %2").arg(width).arg(height); }

/// `button`: what helps; null where nothing does.
QWidget* rowOf(const PublishCheck& check, QWidget* button)
{
    auto* row = new QWidget;
    auto* layout = new QHBoxLayout(row);
    layout->setContentsMargins(0, 4, 0, 4);
    layout->setSpacing(8);
    auto* shape = new ShapeLabel(check.fine ? Shape::Check : Shape::Warning);
    shape->setFixedSize(12, 18);
    layout->addWidget(shape, 0, Qt::AlignTop);
    auto* words = new QVBoxLayout;
    words->setSpacing(0);
    words->addWidget(wrapping(check.words, Text::Body, check.fine ? Tone::Primary : Tone::Attention));
    if (!check.detail.isEmpty())
        words->addWidget(wrapping(check.detail, Text::Caption, Tone::Secondary));
    if (button)
        words->addWidget(button, 0, Qt::AlignLeft);
    layout->addLayout(words, 1);
    return row;
}

} // namespace

ChartSettings::ChartSettings(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_title(called("chartTitle", new CommitText(2))), m_subtitle(new CommitText(3)),
      m_footnote(new CommitText(3, tr("added below what the program writes"))),
      m_form(called("chartForm", new ChoiceBox)), m_order(new ChoiceBox), m_groups(new ChoiceBox),
      m_theme(new ChoiceBox), m_size(called("chartSize", new ChoiceBox)), m_ground(new ChoiceBox),
      m_notes(new ChoiceBox), m_rate(called("motionRate", new ChoiceBox)), m_pace(called("motionPace", new ChoiceBox)),
      m_pixels(called("chartPixels", new CommitEdit)), m_seconds(called("motionSeconds", new CommitEdit)),
      m_more(new Fold(tr("More of the chart"), tr("order, groups, footnote, pixels"))),
      m_motion(new Fold(tr("Motion"), {})), m_earlier(new EarlierPanel(model)), m_checks(new Panel(tr("Checks")))
{
    auto* column = columnIn(this, 0);
    auto* panel = new Panel(tr("Chart"));
    auto* form = new FormGrid(labelWidth);
    form->addRow(tr("Form"), m_form);
    form->addRow(tr("Title"), m_title);
    form->addRow(tr("Subtitle"), m_subtitle);
    form->addRow(tr("Theme"), m_theme);
    form->addRow(tr("Size"), m_size);
    panel->body()->addWidget(form);
    auto* more = new FormGrid(labelWidth);
    more->addRow(tr("Order"), m_order);
    more->addRow(tr("Groups"), m_groups);
    more->addRow(tr("Footnote"), m_footnote);
    more->addRow(tr("Method"), m_notes);
    more->addRow(tr("Behind it"), m_ground);
    more->addRow(tr("Pixels"), m_pixels);
    m_more->body()->addWidget(more);
    auto* motion = new FormGrid(labelWidth);
    motion->addRow(tr("Length"), m_seconds, tr("s"));
    motion->addRow(tr("Pictures"), m_rate, tr("a second"));
    motion->addRow(tr("Pace"), m_pace);
    m_motion->body()->addWidget(motion);
    addWidgets(*panel->body(), {m_more, m_motion, m_earlier});
    m_checks->body()->setSpacing(0);
    m_checks->setHairline(false);
    addWidgets(*column, {panel, m_checks});
    column->addStretch(1);

    const auto link = [this](CommitText* edit, const QString& label, std::string session::PublishSettings::*field) {
        connect(edit, &CommitText::committed, this, [=, this](const QString& text) {
            change(label, [&](session::PublishSettings& s) { s.*field = text.toStdString(); });
        });
    };
    link(m_title, tr("change the chart's title"), &session::PublishSettings::title);
    link(m_subtitle, tr("change the chart's subtitle"), &session::PublishSettings::subtitle);
    link(m_footnote, tr("change the chart's footnote"), &session::PublishSettings::footnote);
    const auto choose = [this](ChoiceBox* box, const QString& label,
                               const std::function<void(session::PublishSettings&, qint64)>& set) {
        connect(box, &ChoiceBox::chosen, this,
                [=, this](qint64 which) { change(label, [&](session::PublishSettings& s) { set(s, which); }); });
    };
    using session::PublishSettings;
    const auto chooseField = [&]<class Field>(ChoiceBox* box, const QString& label, Field PublishSettings::*field) {
        choose(box, label, [field](PublishSettings& s, qint64 which) { s.*field = static_cast<Field>(which); });
    };
    chooseField(m_form, tr("change the chart's form"), &PublishSettings::form);
    chooseField(m_order, tr("change the chart's order"), &PublishSettings::order);
    choose(m_groups, tr("change the chart's groups"), [this](PublishSettings& s, qint64 which) {
        s.groupBy = m_groupChoices[static_cast<std::size_t>(which)].key;
    });
    chooseField(m_notes, tr("change where the method stands"), &PublishSettings::notesApart);
    choose(m_theme, tr("change the chart's theme"), [this](PublishSettings& s, qint64 which) {
        s.ownTheme = which < firstOwnTheme ? std::string() : m_ownThemes[which - firstOwnTheme].toStdString();
        if (which < firstOwnTheme)
            s.theme = static_cast<session::ChartTheme>(which);
    });
    choose(m_size, tr("change the chart's size"), [](PublishSettings& s, qint64 which) {
        s.width = static_cast<int>(which / sizeFactor);
        s.height = static_cast<int>(which % sizeFactor);
    });
    m_pixels->setCheck([](const QString& text) { return typedSize(text) ? QString() : sizeRule(); });
    m_seconds->setCheck([](const QString& text) {
        const auto seconds = typedNumber(text);
        return seconds && *seconds >= 1 && *seconds <= 120 ? QString() : tr("The motion takes from 1 to 120 seconds.");
    });
    connect(m_pixels, &CommitEdit::committed, this, [this](const QString& text) {
        change(tr("change the chart's size"), [size = *typedSize(text)](session::PublishSettings& s) {
            s.width = size.width();
            s.height = size.height();
        });
    });
    connect(m_seconds, &CommitEdit::committed, this, [this](const QString& text) {
        change(tr("change the motion's length"),
               [seconds = *typedNumber(text)](session::PublishSettings& s) { s.motionSeconds = seconds; });
    });
    chooseField(m_rate, tr("change the motion's rate"), &PublishSettings::motionRate);
    chooseField(m_pace, tr("change the motion's pace"), &PublishSettings::motionEven);
    chooseField(m_ground, tr("change what lies behind the chart"), &PublishSettings::transparent);
}

void ChartSettings::change(const QString& label, const std::function<void(session::PublishSettings&)>& change)
{
    m_model.changeSettings(label, [&](session::Settings& settings) { change(settings.publish); });
}

void ChartSettings::refresh(const report::ChartModel& chart, const QVector<PublishCheck>& checks)
{
    const session::PublishSettings& publish = m_model.document()->settings.publish;
    m_title->setValue(QString::fromStdString(publish.title));
    m_title->setPlaceholderText(QString::fromStdString(chart.title));
    m_subtitle->setValue(QString::fromStdString(publish.subtitle));
    m_subtitle->setPlaceholderText(QString::fromStdString(chart.subtitle));
    m_footnote->setValue(QString::fromStdString(publish.footnote));
    using session::ChartForm, session::ChartOrder, session::ChartTheme;
    m_form->setChoices({{int(ChartForm::Bars), tr("bars with dots")},
                        {int(ChartForm::Boxes), tr("dots with boxes")},
                        {int(ChartForm::Differences), tr("differences")}},
                       int(publish.form));
    m_order->setChoices({{int(ChartOrder::Plan), tr("by plan")}, {int(ChartOrder::Value), tr("by value")}},
                        int(publish.order));
    m_groupChoices = report::groupChoices(*m_model.document());
    QVector<std::pair<qint64, QString>> groups;
    qint64 group = -1;
    for (const report::GroupChoice& choice : m_groupChoices) {
        if (choice.key == publish.groupBy)
            group = groups.size();
        groups.push_back({groups.size(), QString::fromStdString(choice.words)});
    }
    m_groups->setChoices(groups, group);
    m_notes->setChoices({{0, tr("on the chart")}, {1, tr("on its own picture")}}, publish.notesApart);
    m_ownThemes = ownThemes();
    QVector<std::pair<qint64, QString>> themes{{int(ChartTheme::Dark), tr("dark")},
                                               {int(ChartTheme::Light), tr("light")}};
    for (const QString& own : std::as_const(m_ownThemes))
        themes.push_back({themes.size(), own});
    const qint64 own = m_ownThemes.indexOf(QString::fromStdString(publish.ownTheme));
    m_theme->setChoices(themes, publish.ownTheme.empty() ? int(publish.theme) : own < 0 ? -1 : firstOwnTheme + own);
    QVector<std::pair<qint64, QString>> sizes;
    for (const auto& [width, height] : usualSizes)
        sizes.push_back({width * sizeFactor + height, sizeWords(width, height)});
    const qint64 size = publish.width * sizeFactor + publish.height;
    if (std::ranges::none_of(sizes, [&](const auto& entry) { return entry.first == size; }))
        sizes.push_back({size, sizeWords(publish.width, publish.height)});
    m_size->setChoices(sizes, size);
    m_ground->setChoices({{0, tr("the theme's colour")}, {1, tr("nothing")}}, publish.transparent);
    m_pixels->setValue(sizeWords(publish.width, publish.height));
    m_seconds->setValue(shortNumber(publish.motionSeconds));
    QVector<std::pair<qint64, QString>> rates;
    for (const int rate : {24, 25, 30, 50, 60})
        rates.push_back({rate, QString::number(rate)});
    if (std::ranges::none_of(rates, [&](const auto& entry) { return entry.first == publish.motionRate; }))
        rates.push_back({publish.motionRate, QString::number(publish.motionRate)});
    m_rate->setChoices(rates, publish.motionRate);
    m_pace->setChoices({{0, tr("gentle")}, {1, tr("even")}}, publish.motionEven);
    m_earlier->refresh();
    m_motion->setPurpose(tr("%1 s at %2 a second").arg(shortNumber(publish.motionSeconds)).arg(publish.motionRate));

    emptyOut(*m_checks->body());
    m_checks->setVisible(!checks.isEmpty());
    const auto wrong = std::ranges::count_if(checks, [](const PublishCheck& check) { return !check.fine; });
    m_checks->setTrailing(wrong == 0 ? tr("all fine") : tr("%1 to look at").arg(wrong),
                          wrong == 0 ? Tone::Secondary : Tone::Attention);
    m_remedies.clear();
    for (const PublishCheck& check : checks) {
        KeyButton* button = nullptr;
        if (check.remedy != Remedy::None) {
            m_remedies.emplace_back(check.remedy, check.at);
            const auto number = static_cast<int>(m_remedies.size());
            button = new KeyButton(remedyWords(check.remedy),
                                   number <= 9 ? QStringList{QString::number(number)} : QStringList());
            button->setObjectName(QStringLiteral("remedy-%1").arg(number));
            makeCompact(*button);
            // Later: it goes with what it changes.
            connect(
                button, &QPushButton::clicked, this, [this, number] { remedy(number); }, Qt::QueuedConnection);
        }
        m_checks->body()->addWidget(rowOf(check, button));
    }
}

bool ChartSettings::remedy(int number)
{
    if (number < 1 || number > static_cast<int>(m_remedies.size()))
        return false;
    const auto [remedy, at] = m_remedies[static_cast<std::size_t>(number) - 1];
    switch (remedy) {
    case Remedy::Earlier: m_earlier->askForBridge(); break;
    case Remedy::Title: m_title->setFocus(Qt::OtherFocusReason); break;
    case Remedy::OwnTheme:
        change(tr("change the chart's theme"), [](session::PublishSettings& s) { s.ownTheme.clear(); });
        break;
    case Remedy::Ground:
        change(tr("change what lies behind the chart"), [](session::PublishSettings& s) { s.transparent = false; });
        break;
    default: emit remedyAsked(remedy, at);
    }
    return true;
}

void ChartSettings::commit()
{
    for (CommitEdit* edit : {m_pixels, m_seconds})
        edit->commit();
    for (CommitText* edit : {m_title, m_subtitle, m_footnote})
        edit->commit();
}

} // namespace ui
