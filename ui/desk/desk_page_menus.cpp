// The menus of the desk's captures and configurations, and what they do.
#include "core/analysis/capture_tags.h"
#include "ui/desk/configuration_list.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/desk/desk_page.h"
#include "ui/desk/reading_progress.h"
#include "ui/desk/source_changes.h"
#include "ui/desk/relink.h"
#include "ui/look/label.h"

#include <QMenu>

namespace ui {

void DeskPage::captureMenu(session::CaptureId id, const QPoint& place)
{
    auto* menu = new QMenu(this);
    menu->setAttribute(Qt::WA_DeleteOnClose);
    fillCaptureMenu(*menu, id);
    menu->popup(place);
}

/// Files that go on the recording, and the moving pictures of a file that holds several.
void DeskPage::fillRecordingMenu(QMenu& menu, const session::Capture& capture)
{
    const session::CaptureId id = capture.id;
    const session::Capture* next = captureAfter(*m_model.document(), id);
    QAction* join = menu.addAction(next ? tr("&Join with %1").arg(menuText(QString::fromStdString(next->name)))
                                        : tr("&Join with the next capture"),
                                   this, [this, id] { m_sourceChanges->joinNext(id); });
    join->setEnabled(next && !capture.pictureFolder && !next->pictureFolder);
    const auto footage = m_pool.footage(m_model.footagePath(capture));
    if (!footage || footage->streams.size() < 2)
        return;
    QMenu* streams = menu.addMenu(tr("&Video stream"));
    for (const media::VideoStream& stream : footage->streams) {
        QAction* choice =
            streams->addAction(tr("%1: %2, %3 x %4")
                                   .arg(stream.index)
                                   .arg(menuText(QString::fromStdString(stream.codec)))
                                   .arg(stream.size.width)
                                   .arg(stream.size.height),
                               this, [this, id, index = stream.index] { m_sourceChanges->chooseStream(id, index); });
        choice->setCheckable(true);
        choice->setChecked(stream.index == footage->streamIndex);
        choice->setEnabled(stream.decodable);
    }
}

void DeskPage::fillCaptureMenu(QMenu& menu, session::CaptureId id)
{
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, id);
    menu.setTitle(tr("&This capture"));
    if (!capture || m_state.blind()) {
        menu.addAction(capture ? tr("hidden while reading blind") : tr("no capture yet"))->setEnabled(false);
        return;
    }
    menu.setTitle(tr("&This capture: %1").arg(menuText(QString::fromStdString(capture->name))));
    menu.addAction(tr("Re&link..."), this, [this, id] { relinkAsked(id); });
    menu.addAction(tr("&Look again"), this, [this, id] {
        if (const session::Capture* again = session::find(*m_model.document(), id))
            m_captures.retry(*again);
    });
    menu.addAction(tr("&Rename..."), this, [this, id] { renameCapture(id); });
    fillRecordingMenu(menu, *capture);

    using session::Document;
    QMenu* configurations = menu.addMenu(tr("&Configuration"));
    const auto tag = [this, id](const std::function<void(session::ConfigurationId&, session::RunId&)>& change) {
        m_model.edit([&](const Document& latest) {
            const session::Capture* now = session::find(latest, id);
            session::ConfigurationId configuration = now ? now->configuration : session::ConfigurationId{};
            session::RunId run = now ? now->run : session::RunId{};
            change(configuration, run);
            return session::tagCapture(latest, id, configuration, run);
        });
    };
    const auto tagTo = [tag](session::ConfigurationId to) {
        tag([to](auto& configuration, auto&) { configuration = to; });
    };
    const auto runTo = [tag](session::RunId to) { tag([to](auto&, auto& run) { run = to; }); };
    const auto checkable = [](QAction* action, bool checked) {
        action->setCheckable(true);
        action->setChecked(checked);
    };
    checkable(configurations->addAction(tr("none"), this, [tagTo] { tagTo({}); }), !capture->configuration);
    for (const session::Configuration* one : session::inOrder(document->configurations))
        checkable(configurations->addAction(menuText(QString::fromStdString(one->name)), this,
                                            [tagTo, of = one->id] { tagTo(of); }),
                  capture->configuration == one->id);

    QMenu* runs = menu.addMenu(tr("R&un"));
    checkable(runs->addAction(tr("not known"), this, [runTo] { runTo({}); }), !capture->run);
    for (const auto& [run, value] : document->runs)
        checkable(
            runs->addAction(menuText(QString::fromStdString(value->name)), this, [runTo, of = run] { runTo(of); }),
            capture->run == run);
    runs->addSeparator();
    runs->addAction(tr("A new run"), this, [this, id] {
        m_model.edit([&](const Document& latest) {
            return session::addRun(latest, "run " + std::to_string(latest.runs.size() + 1), id);
        });
    });
    menu.addSeparator();
    const int trials = countOf(*document, id).trials;
    menu.addAction(trials > 0 ? tr("Re&move with its %n trial(s)", nullptr, trials) : tr("Re&move"), this, [this, id] {
        m_model.edit([&](const Document& latest) { return session::removeCapture(latest, id); });
    });
}

void DeskPage::fillConfigurationMenu(QMenu& menu)
{
    const auto configurations = session::inOrder(m_model.document()->configurations);
    const auto actions = menu.actions();
    for (int i = 0; i < actions.size(); ++i) {
        const bool there = i < static_cast<int>(configurations.size());
        const QString name =
            there ? QString::fromStdString(configurations[static_cast<std::size_t>(i)]->name) : tr("none");
        actions[i]->setText(QStringLiteral("&%1  %2").arg(i + 1).arg(menuText(name)));
    }
}

void DeskPage::renameCapture(session::CaptureId id)
{
    const session::Capture* capture = session::find(*m_model.document(), id);
    if (!capture)
        return;
    askForName(*this, tr("Rename capture"), QString::fromStdString(capture->name), [this, id](const QString& name) {
        m_model.edit([&](const session::Document& latest) {
            session::Capture renamed = *session::find(latest, id);
            const std::string label = "rename " + renamed.name;
            renamed.name = name.toStdString();
            return session::setCapture(latest, renamed, label);
        });
    });
}

void DeskPage::eachCaptureARun()
{
    m_model.edit([](const session::Document& latest) {
        std::map<session::CaptureId, analysis::TagChoice> own;
        for (const auto& [id, capture] : latest.captures)
            if (!capture->run)
                own[id].run = analysis::TagChoice::Run::Own;
        std::vector<session::CaptureTags> tags;
        for (const analysis::TagRow& row : analysis::tagRows(latest, own))
            if (own.contains(row.tags.capture) && row.isChanged())
                tags.push_back(row.tags);
        return session::tagCaptures(latest, tags);
    });
}

} // namespace ui
