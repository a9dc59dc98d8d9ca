#include "ui/publish/earlier_panel.h"
#include "core/report/earlier_session.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"
#include "ui/look/panel.h"
#include "ui/model/file_paths.h"

#include <QApplication>
#include <QDir>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLocale>
#include <QPushButton>

namespace ui {
namespace {

QString asText(const std::string& utf8) { return QString::fromStdString(utf8); }

/// Here by the name it has there, else the baseline.
session::ConfigurationId likely(const session::Document& document, const session::EarlierConfiguration& there)
{
    for (const auto& [id, configuration] : document.configurations)
        if (configuration->name == there.name)
            return id;
    if (document.settings.plan.baseline || document.configurations.empty())
        return document.settings.plan.baseline;
    return document.configurations.begin()->first;
}

} // namespace

EarlierPanel::EarlierPanel(SessionModel& model, QWidget* parent)
    : Fold(tr("Earlier sessions"), {}, parent), m_model(model), m_rows(new QVBoxLayout),
      m_says(called("earlierSays", emptyNote({})))
{
    setObjectName(QStringLiteral("earlierSessions"));
    m_rows->setSpacing(10);
    body()->addLayout(m_rows);
    body()->addWidget(m_says);
    auto* button = called("addEarlier", new KeyButton(tr("Add a session"), {QStringLiteral("A")}));
    makeCompact(*button);
    body()->addWidget(button, 0, Qt::AlignLeft);
    connect(button, &QPushButton::clicked, this, &EarlierPanel::choose);
}

void EarlierPanel::choose()
{
    auto* dialog = new QFileDialog(this, tr("Add a session's results"), m_model.folder(),
                                   tr("Sessions (%1)").arg(QStringLiteral("*.tallyframe")));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setFileMode(QFileDialog::ExistingFile);
    connect(dialog, &QFileDialog::fileSelected, this, &EarlierPanel::add);
    dialog->open();
}

void EarlierPanel::add(const QString& path)
{
    setOpen(true);
    read(path, session::addEarlierSession);
}

void EarlierPanel::read(const QString& path, Take take)
{
    m_says->setTone(Tone::Secondary);
    m_says->setText(tr("Reading %1").arg(QDir(path).dirName()));
    m_says->show();
    const auto say = [this](const QString& sentence) {
        m_says->setTone(Tone::Attention);
        m_says->setText(sentence);
        m_says->setVisible(!sentence.isEmpty());
    };
    m_jobs.run([file = toPath(path), own = toPath(m_model.path())] { return report::readEarlierSession(file, own); },
               [=, this, session = m_model.path(), take = std::move(take)](session::EarlierSession earlier) {
                   say({});
                   if (m_model.path() != session)
                       return; // another one is open by now
                   earlier.path = m_model.pathInSession(path).toStdString();
                   m_model.edit([&](const session::Document& document) { return take(document, earlier); });
               },
               say);
}

void EarlierPanel::refresh()
{
    const auto document = m_model.document();
    const auto shown = document->earlierSessions.size();
    setPurpose(shown == 0 ? tr("another session in the chart") : tr("%1 in the chart").arg(shown));
    if (m_says->text().isEmpty())
        m_says->hide();
    if (m_shown == document->earlierSessions && m_configurations == document->configurations)
        return;
    m_shown = document->earlierSessions;
    m_configurations = document->configurations;
    const QWidget* focus = QApplication::focusWidget();
    const QString focused = focus && isAncestorOf(focus) ? focus->objectName() : QString();
    emptyOut(*m_rows);
    for (const auto& [id, earlier] : m_shown)
        m_rows->addWidget(rowOf(*document, *earlier));
    if (auto* again = focused.isEmpty() ? nullptr : findChild<QWidget*>(focused))
        again->setFocus(Qt::OtherFocusReason);
}

QWidget* EarlierPanel::rowOf(const session::Document& document, const session::EarlierSession& earlier)
{
    const session::EarlierSessionId id = earlier.id;
    const std::string number = std::to_string(id.value);
    auto* row = new QWidget;
    auto* column = columnIn(row, 4);
    auto* title = wrapping(asText(earlier.title), Text::Body, Tone::Primary, QFont::DemiBold);
    title->setToolTip(asText(earlier.path));
    column->addWidget(title);
    const QDateTime when = QDateTime::fromString(asText(earlier.time), Qt::ISODate);
    auto* state = wrapping(tr("as it was on %1").arg(QLocale().toString(when, QLocale::ShortFormat)), Text::Caption,
                           Tone::Secondary);
    column->addWidget(state);

    auto* there = called(("bridgeThere-" + number).c_str(), new ChoiceBox);
    there->setAccessibleName(tr("Set-up measured in both, as %1 calls it").arg(asText(earlier.title)));
    QVector<std::pair<qint64, QString>> choices{{0, tr("nothing")}};
    for (const session::EarlierConfiguration& configuration : earlier.configurations)
        if (configuration.meanMs)
            choices.push_back({configuration.id.value, asText(configuration.name)});
    there->setChoices(choices, earlier.there.value);
    auto* here = called(("bridgeHere-" + number).c_str(), new ChoiceBox);
    here->setAccessibleName(tr("The same set-up as this session calls it"));
    choices.clear();
    for (const session::Configuration* configuration : session::inOrder(document.configurations))
        choices.push_back({configuration->id.value, asText(configuration->name)});
    here->setChoices(choices, earlier.here.value);
    here->setEnabled(static_cast<bool>(earlier.there));
    auto* form = new FormGrid(72);
    form->addRow(tr("In both"), there);
    form->addRow(tr("Here it is"), here);
    column->addWidget(form);

    auto* buttons = new QHBoxLayout;
    auto* again = compactButton(tr("Read again"), ("readEarlier-" + number).c_str());
    auto* remove = compactButton(tr("Take out"), ("removeEarlier-" + number).c_str());
    addWidgets(*buttons, {again, remove});
    buttons->addStretch(1);
    column->addLayout(buttons);

    const auto set = [this, id](qint64 mine, qint64 theirs) {
        m_model.edit([=](const session::Document& now) {
            return session::setBridge(now, id, session::ConfigurationId{mine}, session::ConfigurationId{theirs});
        });
    };
    // The list goes with what it changes, so its signal has to be over by then; edits are answered later.
    connect(there, &ChoiceBox::chosen, this, [=, this](qint64 theirs) {
        const session::EarlierSession* now = session::find(*m_model.document(), id);
        const session::EarlierConfiguration* chosen =
            now ? session::findEarlier(*now, session::ConfigurationId{theirs}) : nullptr;
        set(!chosen ? 0 : now->here ? now->here.value : likely(*m_model.document(), *chosen).value, theirs);
    });
    connect(here, &ChoiceBox::chosen, this, [=, this](qint64 mine) {
        if (const session::EarlierSession* now = session::find(*m_model.document(), id))
            set(mine, now->there.value);
    });
    connect(again, &QPushButton::clicked, this, [this, id, path = asText(earlier.path)] {
        read(QDir(m_model.folder()).absoluteFilePath(path),
             [id](const session::Document& now, const session::EarlierSession& read) {
                 return session::readEarlierAgain(now, id, read);
             });
    });
    connect(remove, &QPushButton::clicked, this, [this, id] {
        m_model.edit([id](const session::Document& now) { return session::removeEarlierSession(now, id); });
    });
    return row;
}

void EarlierPanel::askForBridge()
{
    setOpen(true);
    for (const auto& [id, earlier] : m_shown)
        if (!earlier->there) {
            findChild<ChoiceBox*>(QStringLiteral("bridgeThere-%1").arg(id.value))->setFocus(Qt::OtherFocusReason);
            return;
        }
    findChild<QPushButton*>(QStringLiteral("addEarlier"))->setFocus(Qt::OtherFocusReason);
}

} // namespace ui
