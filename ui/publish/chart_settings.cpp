#include "ui/publish/chart_settings.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"

#include <QHBoxLayout>
#include <algorithm>

namespace ui {
namespace {

constexpr int labelWidth = 72;

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
      m_footnote(new CommitText(3, tr("added below what the program writes"))), m_theme(new ChoiceBox),
      m_checks(new Panel(tr("Checks")))
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    auto* panel = new Panel(tr("Chart"));
    auto* form = new FormGrid(labelWidth);
    m_title->setObjectName(QStringLiteral("chartTitle"));
    form->addRow(tr("Title"), m_title);
    form->addRow(tr("Subtitle"), m_subtitle);
    form->addRow(tr("Footnote"), m_footnote);
    form->addRow(tr("Theme"), m_theme);
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
    connect(m_theme, &ChoiceBox::chosen, this, [this](qint64 which) {
        change(tr("change the chart's theme"),
               [&](session::PublishSettings& s) { s.theme = static_cast<session::ChartTheme>(which); });
    });
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
    m_theme->setChoices({{int(session::ChartTheme::Dark), tr("dark")}, {int(session::ChartTheme::Light), tr("light")}},
                        int(publish.theme));

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
