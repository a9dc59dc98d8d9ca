#include "ui/publish/chart_settings.h"
#include "ui/chart/chart_style.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"

#include <QHBoxLayout>
#include <algorithm>

namespace ui {
namespace {

constexpr int labelWidth = 72;
constexpr qint64 firstOwnTheme = 2;
constexpr qint64 sizeFactor = 100000; ///< width times this and height make the number of a size
constexpr std::pair<int, int> usualSizes[] = {{1920, 1080}, {3840, 2160}, {1080, 1920}, {1080, 1080}};

QString sizeWords(int width, int height) { return QStringLiteral("%1 \u00d7 %2").arg(width).arg(height); }

QWidget* rowOf(const PublishCheck& check)
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
    auto* first = new Label(check.words, Text::Body, check.fine ? Tone::Primary : Tone::Attention);
    first->setWordWrap(true);
    words->addWidget(first);
    if (!check.detail.isEmpty()) {
        auto* second = new Label(check.detail, Text::Caption, Tone::Secondary);
        second->setWordWrap(true);
        words->addWidget(second);
    }
    layout->addLayout(words, 1);
    return row;
}

} // namespace

ChartSettings::ChartSettings(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_title(new CommitText(2)), m_subtitle(new CommitText(3)),
      m_footnote(new CommitText(3, tr("added below what the program writes"))), m_form(new ChoiceBox),
      m_order(new ChoiceBox), m_groups(new ChoiceBox), m_theme(new ChoiceBox), m_size(new ChoiceBox),
      m_ground(new ChoiceBox), m_notes(new ChoiceBox), m_checks(new Panel(tr("Checks")))
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    auto* panel = new Panel(tr("Chart"));
    auto* form = new FormGrid(labelWidth);
    m_title->setObjectName(QStringLiteral("chartTitle"));
    m_form->setObjectName(QStringLiteral("chartForm"));
    m_size->setObjectName(QStringLiteral("chartSize"));
    form->addRow(tr("Form"), m_form);
    form->addRow(tr("Title"), m_title);
    form->addRow(tr("Subtitle"), m_subtitle);
    form->addRow(tr("Order"), m_order);
    form->addRow(tr("Groups"), m_groups);
    form->addRow(tr("Footnote"), m_footnote);
    form->addRow(tr("Method"), m_notes);
    form->addRow(tr("Theme"), m_theme);
    form->addRow(tr("Size"), m_size);
    form->addRow(tr("Behind it"), m_ground);
    panel->body()->addWidget(form);
    column->addWidget(panel);
    m_checks->body()->setSpacing(0);
    m_checks->setHairline(false);
    column->addWidget(m_checks);
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
    choose(m_form, tr("change the chart's form"),
           [](PublishSettings& s, qint64 which) { s.form = static_cast<session::ChartForm>(which); });
    choose(m_order, tr("change the chart's order"),
           [](PublishSettings& s, qint64 which) { s.order = static_cast<session::ChartOrder>(which); });
    choose(m_groups, tr("change the chart's groups"), [this](PublishSettings& s, qint64 which) {
        s.groupBy = m_groupChoices[static_cast<std::size_t>(which)].key;
    });
    choose(m_notes, tr("change where the method stands"),
           [](PublishSettings& s, qint64 which) { s.notesApart = which != 0; });
    choose(m_theme, tr("change the chart's theme"), [this](PublishSettings& s, qint64 which) {
        s.ownTheme = which < firstOwnTheme ? std::string() : m_ownThemes[which - firstOwnTheme].toStdString();
        if (which < firstOwnTheme)
            s.theme = static_cast<session::ChartTheme>(which);
    });
    choose(m_size, tr("change the chart's size"), [](PublishSettings& s, qint64 which) {
        s.width = static_cast<int>(which / sizeFactor);
        s.height = static_cast<int>(which % sizeFactor);
    });
    choose(m_ground, tr("change what lies behind the chart"),
           [](PublishSettings& s, qint64 which) { s.transparent = which != 0; });
}

void ChartSettings::change(const QString& label, const std::function<void(session::PublishSettings&)>& change)
{
    m_model.edit([&](const session::Document& document) {
        session::Settings settings = document.settings;
        change(settings.publish);
        return session::setSettings(document, settings, label.toStdString());
    });
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

    while (QLayoutItem* item = m_checks->body()->takeAt(0)) {
        delete item->widget();
        delete item;
    }
    m_checks->setVisible(!checks.isEmpty());
    const auto wrong = std::ranges::count_if(checks, [](const PublishCheck& check) { return !check.fine; });
    m_checks->setTrailing(wrong == 0 ? tr("all fine") : tr("%1 to look at").arg(wrong),
                          wrong == 0 ? Tone::Secondary : Tone::Attention);
    for (const PublishCheck& check : checks)
        m_checks->body()->addWidget(rowOf(check));
}

void ChartSettings::commit()
{
    for (CommitText* edit : {m_title, m_subtitle, m_footnote})
        edit->commit();
}

} // namespace ui
