// The menus of the main window and what they start.
#include "ui/desk/desk_page.h"
#include "ui/look/label.h"
#include "ui/look/look.h"
#include "ui/look/own_keys.h"
#include "ui/window/about.h"
#include "ui/window/first_session.h"
#include "ui/window/help_overlay.h"
#include "ui/window/keys_dialog.h"
#include "ui/window/main_window.h"
#include "ui/window/problem_bar.h"
#include "ui/window/problem_report.h"
#include "ui/model/window_memory.h"

#include <QActionGroup>
#include <QClipboard>
#include <QDate>
#include <QDir>
#include <QDragEnterEvent>
#include <QFile>
#include <QFileDialog>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QGuiApplication>
#include <QMenuBar>
#include <QMessageBox>
#include <QMimeData>
#include <QVBoxLayout>
#include <cassert>

namespace ui {

namespace {

const QString sessionFilter = QStringLiteral("*.tallyframe");

QStringList localFiles(const QMimeData& dropped)
{
    QStringList paths;
    const auto urls = dropped.urls();
    for (const QUrl& url : urls)
        if (url.isLocalFile())
            paths << url.toLocalFile();
    return paths;
}

QString helpText(const char* name)
{
    QFile file(QStringLiteral(":/help/%1.md").arg(QLatin1String(name)));
    const bool there = file.open(QIODevice::ReadOnly);
    assert(there); // bundled with the program
    return there ? QString::fromUtf8(file.readAll()) : QString();
}

/// Not modal for the program: the file dialog is the window's own and its answer comes by a signal.
QFileDialog* fileDialog(QWidget* window, const QString& title, const QString& filter)
{
    auto* dialog = new QFileDialog(window, title, memory::lastFolder(), filter);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    QObject::connect(dialog, &QFileDialog::fileSelected,
                     [](const QString& path) { memory::setLastFolder(QFileInfo(path).absolutePath()); });
    return dialog;
}

} // namespace

QAction* MainWindow::addAction(QMenu& menu, const QString& text, const QKeySequence& key, std::function<void()> run)
{
    QAction* action = menu.addAction(text);
    action->setShortcut(key);
    action->setAutoRepeat(false);
    connect(action, &QAction::triggered, this, [run = std::move(run)] { run(); });
    return action;
}

void MainWindow::makeMenus()
{
    makeSessionMenu();
    makeEditMenu();
    QMenu* footage = menuBar()->addMenu(tr("&Footage"));
    footage->addActions(m_desk->menuActions(DeskPage::Menu::Footage));
    footage->addSeparator();
    makePictureMemoryMenu(*footage->addMenu(tr("&Memory for pictures")));
    QMenu* trial = menuBar()->addMenu(tr("&Trial"));
    trial->addActions(m_desk->menuActions(DeskPage::Menu::Trial));
    makeViewMenu();
    makeHelpMenu();

    auto* corner = new QWidget;
    corner->setFixedHeight(menuBar()->sizeHint().height()); // else it sits at the bar's upper edge
    auto* row = new QHBoxLayout(corner);
    row->setContentsMargins(grid::padding, 0, grid::padding, 0);
    m_title = new Label({}, Text::Body, Tone::Secondary);
    row->addWidget(m_title);
    menuBar()->setCornerWidget(corner, Qt::TopRightCorner);
}

/// Takes effect at once: fewer pictures stay, or more will.
void MainWindow::makePictureMemoryMenu(QMenu& menu)
{
    menu.setToolTipsVisible(true);
    auto* group = new QActionGroup(&menu);
    const auto offer = [&](int mebibytes) {
        const QString size = mebibytes < 1024 ? tr("%1 MiB").arg(mebibytes) : tr("%1 GiB").arg(mebibytes / 1024);
        QAction* action =
            addAction(menu, mebibytes == 1024 ? tr("%1, as usual").arg(size) : size, {}, [this, mebibytes] {
                memory::setPictureMebibytes(mebibytes);
                m_pool.setCacheBytes(std::size_t(mebibytes) << 20);
            });
        action->setCheckable(true);
        action->setChecked(memory::pictureMebibytes() == mebibytes);
        action->setToolTip(tr("The more decoded pictures are kept, the longer the ways back that show at once"));
        group->addAction(action);
    };
    for (const int mebibytes : {256, 512, 1024, 2048, 4096, 8192})
        offer(mebibytes);
    m_pool.setCacheBytes(std::size_t(memory::pictureMebibytes()) << 20);
}

void MainWindow::makeSessionMenu()
{
    QMenu& menu = *menuBar()->addMenu(tr("&Session"));
    addAction(menu, tr("&New session"), QKeySequence(tr("Ctrl+N")), [this] { m_model.newDraft(); });
    addAction(menu, tr("&Open a session..."), QKeySequence(tr("Ctrl+Shift+O")), [this] { openAsked(); });
    m_recent = menu.addMenu(tr("Open &recent"));
    connect(m_recent, &QMenu::aboutToShow, this, &MainWindow::listRecent);
    m_drafts = menu.addMenu(tr("&Sessions without a name"));
    connect(m_drafts, &QMenu::aboutToShow, this, &MainWindow::listDrafts);
    m_sample = addAction(menu, tr("Open the sam&ple session"), {}, [this] { openPath(m_samplePath); });
    m_sample->setVisible(false);
    m_stopOpening = addAction(menu, tr("S&top opening"), {}, [this] { m_model.stopOpening(); });
    m_stopOpening->setVisible(false);
    menu.addSeparator();
    m_save = addAction(menu, tr("&Save"), QKeySequence(tr("Ctrl+S")), [this] { saveAsked(); });
    addAction(menu, tr("Save &as..."), QKeySequence(tr("Ctrl+Shift+S")), [this] { saveAsAsked(); });
    m_discard = addAction(menu, tr("&Discard this session without a name"), {}, [this] { m_model.discardDraft(); });
    menu.addSeparator();
    addAction(menu, tr("&Quit"), QKeySequence(tr("Ctrl+Q")), [this] { close(); });
}

void MainWindow::makeEditMenu()
{
    QMenu& menu = *menuBar()->addMenu(tr("&Edit"));
    m_undo = addAction(menu, tr("&Undo"), QKeySequence(tr("Ctrl+Z")), [this] { m_desk->undo(); });
    m_redo = addAction(menu, tr("&Redo"), QKeySequence(tr("Ctrl+Shift+Z")), [this] { m_desk->redo(); });
    m_redo->setShortcuts({QKeySequence(tr("Ctrl+Shift+Z")), QKeySequence(tr("Ctrl+Y"))});
    m_undo->setAutoRepeat(true);
    m_redo->setAutoRepeat(true);
    menu.addSeparator();
    addAction(menu, tr("&Dismiss problems"), QKeySequence(tr("Ctrl+M")), [this] { m_problems->clear(); });
}

void MainWindow::makeViewMenu()
{
    QMenu& menu = *menuBar()->addMenu(tr("&View"));
    for (int i = 0; i < m_pages.size(); ++i)
        addAction(menu, tr("&%1  %2").arg(i + 1).arg(m_pages[i]->name()), QKeySequence(tr("Ctrl+%1").arg(i + 1)),
                  [this, i] { showPageAt(i); });
    menu.addSeparator();
    menu.addActions(m_desk->menuActions(DeskPage::Menu::View));
    menu.addSeparator();
    QAction* light = menu.addAction(tr("&Light look"));
    light->setCheckable(true);
    light->setChecked(memory::lightLook());
    connect(light, &QAction::toggled, this, &MainWindow::setLight);
}

void MainWindow::makeHelpMenu()
{
    QMenu& menu = *menuBar()->addMenu(tr("&Help"));
    addAction(menu, tr("&Help and keys"), QKeySequence(Qt::Key_F1), [this] { helpAsked(); });
    addAction(menu, tr("All &keys"), {}, [this] { showHelp(tr("All keys")); });
    addAction(menu, tr("Chan&ge keys..."), {}, [this] { changeKeysAsked(); });
    addAction(menu, tr("&Cautions"), {}, [this] { showHelp(tr("Cautions")); });
    addAction(menu, tr("A &first session, step by step"), {}, [this] { beginFirstSession(); });
    addAction(menu, tr("Copy a &problem report"), QKeySequence(tr("Ctrl+F1")), [this] { copyProblemReport(); });
    menu.addSeparator();
    addAction(menu, tr("&About Tallyframe"), {}, [this] { showAbout(); });
}

void MainWindow::openAsked()
{
    QFileDialog* dialog = fileDialog(this, tr("Open a session"), tr("Sessions (%1)").arg(sessionFilter));
    dialog->setFileMode(QFileDialog::ExistingFile);
    connect(dialog, &QFileDialog::fileSelected, this, &MainWindow::openPath);
    dialog->open();
}

void MainWindow::openPath(const QString& path)
{
    m_showDeskWhenOpen = true;
    m_model.open(path);
}

void MainWindow::saveAsked()
{
    if (m_model.isDraft())
        saveAsAsked();
    else
        m_model.save();
}

void MainWindow::saveAsAsked()
{
    QFileDialog* dialog = fileDialog(this, tr("Save the session as"), tr("Sessions (%1)").arg(sessionFilter));
    dialog->setAcceptMode(QFileDialog::AcceptSave);
    dialog->setDefaultSuffix(QStringLiteral("tallyframe"));
    // Beside the footage is where a session finds it again when the folder moves; that folder's name is often its.
    const auto captures = session::inOrder(m_model.document()->captures);
    QString name = m_model.isDraft() ? tr("session %1").arg(QDate::currentDate().toString(Qt::ISODate))
                                     : QFileInfo(m_model.path()).completeBaseName();
    if (m_model.isDraft() && !captures.empty()) {
        const QDir folder = QFileInfo(m_model.footagePath(*captures.front())).dir();
        dialog->setDirectory(folder);
        if (!folder.isRoot())
            name = folder.dirName();
    } else if (!m_model.isDraft()) {
        dialog->setDirectory(m_model.folder());
    }
    dialog->selectFile(name + QStringLiteral(".tallyframe"));
    connect(dialog, &QFileDialog::fileSelected, m_desk, &DeskPage::saveAs);
    dialog->open();
}

void MainWindow::listDrafts()
{
    if (m_drafts->isEmpty())
        m_drafts->addAction(tr("looking for them"))->setEnabled(false);
    m_model.findDrafts();
}

void MainWindow::showDrafts(const QVector<WaitingDraft>& drafts)
{
    m_drafts->clear();
    for (const WaitingDraft& draft : drafts)
        addAction(*m_drafts, tr("changed %1").arg(draft.changed.toString(tr("yyyy-MM-dd HH:mm"))), {},
                  [this, path = draft.path] { openPath(path); });
    if (drafts.isEmpty())
        m_drafts->addAction(tr("none"))->setEnabled(false);
}

void MainWindow::listRecent()
{
    m_recent->clear();
    const QStringList paths = memory::recent();
    for (const QString& path : paths)
        addAction(*m_recent, menuText(path), {}, [this, path] { openPath(path); });
    if (paths.isEmpty())
        m_recent->addAction(tr("none yet"))->setEnabled(false);
}

/// Of the page in front; a desk without footage has nothing to read yet, what it needs is a beginning.
void MainWindow::helpAsked()
{
    const auto* front = static_cast<const Page*>(m_stack->currentWidget());
    showHelp(front == m_desk && m_model.document()->captures.empty() ? QStringLiteral("Start") : front->name());
}

void MainWindow::showHelp(const QString& name)
{
    const auto ctrl = QStringLiteral("Ctrl"), shift = QStringLiteral("Shift");
    const KeySection everywhere{tr("Everywhere"),
                                {{{ctrl, QStringLiteral("1–5")}, tr("pages, from the left")},
                                 {{ctrl, QStringLiteral("O")}, tr("add footage")},
                                 {{ctrl, QStringLiteral("N")}, tr("new session")},
                                 {{ctrl, shift, QStringLiteral("O")}, tr("open a session")},
                                 {{ctrl, QStringLiteral("S")}, tr("save")},
                                 {{ctrl, shift, QStringLiteral("S")}, tr("save as")},
                                 {{ctrl, QStringLiteral("Z")}, tr("undo")},
                                 {{ctrl, shift, QStringLiteral("Z")}, tr("redo")},
                                 {{ctrl, QStringLiteral("M")}, tr("dismiss problems")},
                                 {{QStringLiteral("Tab")}, tr("next control")},
                                 {{QStringLiteral("F10")}, tr("menus")},
                                 {{ctrl, QStringLiteral("Q")}, tr("quit")}}};
    QVector<KeySection> all;
    QVector<HelpPage> pages{{tr("Start"), helpText("start"), {everywhere}}};
    constexpr const char* files[] = {"plan", "clock", "read", "results", "publish"}; // as m_pages
    for (int i = 0; i < m_pages.size(); ++i) {
        const KeySection keys{m_pages[i]->name(), m_pages[i]->keys()};
        pages << HelpPage{keys.title, helpText(files[i]), {keys}};
        all << keys;
    }
    all << everywhere;
    pages << HelpPage{tr("All keys"), {}, all} << HelpPage{tr("Cautions"), helpText("cautions"), {}};
    m_desk->stopPlaying();
    m_help->open(pages, name);
}

/// In a session that has nothing in it yet. Where one is open it is saved and comes back by *Open recent*.
void MainWindow::beginFirstSession()
{
    leaveFirstSession();
    if (!m_model.document()->captures.empty() || !m_model.document()->configurations.empty() || m_model.readOnly())
        m_model.newDraft();
    QStringList films;
    if (const QDir sample = QFileInfo(m_samplePath).dir(); !m_samplePath.isEmpty())
        films << sample.filePath(QStringLiteral("footage/run01.mp4"))
              << sample.filePath(QStringLiteral("footage/run02.mp4"));
    m_first = new FirstSession(m_model, films);
    connect(m_first, &FirstSession::left, this, &MainWindow::leaveFirstSession);
    connect(m_first, &FirstSession::footageAsked, this, [this](const QStringList& paths) {
        showPage(m_desk->name());
        m_desk->addFootage(paths);
    });
    auto* column = static_cast<QVBoxLayout*>(centralWidget()->layout());
    column->insertWidget(column->indexOf(m_stack) + 1, m_first);
    showPage(m_desk->name());
}

void MainWindow::leaveFirstSession()
{
    if (m_first)
        std::exchange(m_first, nullptr)->deleteLater(); // its own button may be what asks
}

/// What each letter and sign does as delivered, in the menus and on the pages that have keys of their own.
QVector<MovableKey> MainWindow::movableKeys() const
{
    QMap<int, QStringList> does;
    const auto add = [&](const QKeySequence& sequence, const QString& words) {
        if (sequence.count() != 1 || (sequence[0].keyboardModifiers() & ~Qt::ShiftModifier)
            || !keys::canMove(sequence[0].key()))
            return;
        QStringList& all = does[sequence[0].key()];
        const QString said = sequence[0].keyboardModifiers() ? tr("with Shift: %1").arg(words) : words;
        if (!all.contains(said))
            all << said;
    };
    const auto actions = findChildren<QAction*>();
    for (const QAction* action : actions) {
        const auto sequences = keys::deliveredOf(*action);
        for (const QKeySequence& sequence : sequences)
            add(sequence, action->text().remove(QLatin1Char('&')).remove(QStringLiteral("...")));
    }
    for (const Page* page : m_pages) {
        const auto hints = page == m_desk ? QVector<KeyHint>() : page->allKeys();
        for (const KeyHint& hint : hints)
            if (const QStringList words = hint.meaning.split(QStringLiteral(", ")); words.size() == hint.caps.size())
                for (qsizetype i = 0; i < words.size(); ++i)
                    add(QKeySequence(hint.caps[i]), tr("%1: %2").arg(page->name(), words[i]));
    }
    QVector<MovableKey> list;
    for (auto key = does.cbegin(); key != does.cend(); ++key)
        list << MovableKey{key.key(), key.value().join(QStringLiteral("; "))};
    return list;
}

void MainWindow::changeKeysAsked()
{
    auto* dialog = new KeysDialog(movableKeys(), this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &KeysDialog::moved, this, [this] {
        memory::setMovedKeys(keys::moved());
        followKeys();
    });
    dialog->open();
}

void MainWindow::followKeys()
{
    keys::follow(*this);
    const auto widgets = findChildren<QWidget*>();
    for (QWidget* widget : widgets)
        widget->updateGeometry(), widget->update(); // caps stand in many places
}

void MainWindow::copyProblemReport()
{
    const QString report = problemReport(m_model, m_pool, m_problems->sentences());
    QGuiApplication::clipboard()->setText(report);
    auto* box = new QMessageBox(QMessageBox::Information, tr("Problem report"),
                                tr("This is on the clipboard now: paste it where you report the problem, with what "
                                   "you did and what you saw. Nothing was sent."),
                                QMessageBox::Close, this);
    box->setTextFormat(Qt::PlainText);
    box->setInformativeText(report);
    box->setAttribute(Qt::WA_DeleteOnClose);
    box->open();
}

void MainWindow::showAbout()
{
    auto* dialog = aboutDialog(this, [this] { showHelp(tr("Cautions")); });
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->open();
}

void MainWindow::setLight(bool light)
{
    memory::setLightLook(light);
    setTheme(light ? Theme::Light : Theme::Dark);
}

/// Files dropped on any control of the window are footage, or a session when there is just one of its kind.
bool MainWindow::takesDrop(QEvent& event)
{
    auto& drop = static_cast<QDropEvent&>(event);
    const QStringList paths = localFiles(*drop.mimeData());
    if (paths.isEmpty())
        return false;
    drop.setDropAction(Qt::CopyAction);
    drop.accept();
    if (event.type() != QEvent::Drop)
        return true;
    if (paths.size() == 1 && paths.front().endsWith(QLatin1String(".tallyframe"))) {
        openPath(paths.front());
    } else {
        showPage(m_desk->name());
        m_desk->addFootage(paths);
    }
    return true;
}

bool MainWindow::eventFilter(QObject* watched, QEvent* event)
{
    const auto type = event->type();
    if (type == QEvent::DragEnter || type == QEvent::DragMove || type == QEvent::Drop)
        if (auto* widget = qobject_cast<QWidget*>(watched); widget && widget->window() == this)
            return takesDrop(*event);
    return QMainWindow::eventFilter(watched, event);
}

} // namespace ui
