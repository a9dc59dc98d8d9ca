#include "ui/window/main_window.h"
#include "ui/controls/layouts.h"
#include "ui/clock/clock_page.h"
#include "ui/clock/picture_findings.h"
#include "ui/desk/desk_page.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/look/look.h"
#include "ui/look/own_keys.h"
#include "ui/plan/plan_page.h"
#include "ui/publish/publish_page.h"
#include "ui/results/results_page.h"
#include "ui/window/first_session.h"
#include "ui/window/help_overlay.h"
#include "ui/window/key_bar.h"
#include "ui/window/page_tabs.h"
#include "ui/window/problem_bar.h"
#include "ui/model/window_memory.h"

#include <QCloseEvent>
#include <QHBoxLayout>
#include <QMenuBar>
#include <QMessageBox>
#include <QStackedWidget>

namespace ui {

namespace {

const QString footageQuestion = QStringLiteral("footageQuestion");
constexpr int undoWidth = 420; ///< a longer label is shortened; the tool tip has all of it

} // namespace

MainWindow::MainWindow(SessionModel& model, FootagePool& pool, QWidget* parent)
    : QMainWindow(parent), m_model(model), m_pool(pool)
{
    setWindowIcon(programIcon());
    setMinimumSize(1024, 640);
    setAcceptDrops(true);
    m_model.setFootageMemory(
        {memory::footageFolders, memory::addFootageFolders, memory::refusedFolders, memory::setRefusedFolders});
    makePages();

    auto* central = new QWidget(this);
    auto* column = columnIn(central, 0);

    auto* top = new QHBoxLayout;
    top->setContentsMargins(0, 0, grid::padding, 0);
    m_tabs = new PageTabs(m_pages);
    top->addWidget(m_tabs);
    top->addStretch(1);
    m_nothingToUndo = new Label(tr("Nothing to undo"), Text::State, Tone::Secondary);
    top->addWidget(m_nothingToUndo);
    m_undoButton = new KeyButton({}, {QStringLiteral("Ctrl"), QStringLiteral("Z")});
    makeCompact(*m_undoButton);
    m_undoButton->setFocusPolicy(Qt::TabFocus);
    connect(m_undoButton, &QPushButton::clicked, m_desk, &DeskPage::undo);
    top->addWidget(m_undoButton);
    column->addLayout(top);

    m_problems = new ProblemBar;
    column->addWidget(m_problems);
    column->addWidget(m_stack, 1);
    m_keys = new KeyBar;
    connect(m_keys, &KeyBar::helpAsked, this, &MainWindow::helpAsked);
    column->addSpacing(1);
    column->addWidget(m_keys);
    setCentralWidget(central);
    m_help = new HelpOverlay(this);

    makeMenus();
    keys::setMoved(memory::movedKeys());
    keys::follow(*this);
    connect(m_tabs, &PageTabs::chosen, this, &MainWindow::showPageAt);
    connect(&m_model, &SessionModel::problem, this, &MainWindow::showProblem);
    connect(&m_model, &SessionModel::stateChanged, this, &MainWindow::refreshState);
    connect(&m_model, &SessionModel::changed, this, &MainWindow::refreshUndo);
    connect(&m_model, &SessionModel::opened, this, [this] {
        if (std::exchange(m_showDeskWhenOpen, false))
            showPage(m_desk->name());
    });
    connect(&m_model, &SessionModel::notOpened, this, [this] {
        // The first session came late and not at all; without any nothing could be done here.
        if (m_model.phase() == SessionModel::Phase::Nothing && !std::exchange(m_triedNewSession, true))
            m_model.newDraft();
    });
    // Queued: where nothing is open it is told from within closeEvent().
    connect(&m_model, &SessionModel::closed, this, &QWidget::close, Qt::QueuedConnection);
    connect(&m_model, &SessionModel::notClosed, this, [this] {
        m_closeAnyway = true;
        showProblem(
            tr("The session file couldn't be written. Save the session under another name; closing again keeps it, "
               "with every change, among the sessions without a name."));
    });
    connect(&m_model, &SessionModel::footageAsked, this, &MainWindow::askForFootage);
    connect(&m_model, &SessionModel::draftsFound, this, &MainWindow::showDrafts);
    connect(&m_model, &SessionModel::sessionReplaced, this, [this] {
        m_desk->leave();
        delete findChild<QMessageBox*>(footageQuestion);
        if (!m_model.isDraft() && !m_model.path().isEmpty())
            memory::addRecent(m_model.path());
    });
    connect(&m_model, &SessionModel::savedAs, this, &memory::addRecent);
    qApp->installEventFilter(this); // footage may be dropped on any control, text fields included

    if (!m_model.isDraft() && !m_model.path().isEmpty())
        memory::addRecent(m_model.path());
    if (memory::lightLook())
        setTheme(Theme::Light);
    refreshState();
    refreshUndo();
    showPage(m_desk->name());
    memory::restoreGeometry(*this);
}

/// Somebody else's session may name any file of this machine.
void MainWindow::askForFootage()
{
    if (findChild<QMessageBox*>(footageQuestion))
        return;
    const QStringList folders = m_model.footageToAskFor();
    constexpr qsizetype listed = 12;
    QString names = folders.mid(0, listed).join(QLatin1Char('\n'));
    if (folders.size() > listed)
        names += QLatin1Char('\n') + tr("and %1 more").arg(folders.size() - listed);
    auto* question = new QMessageBox(this);
    question->setObjectName(footageQuestion);
    question->setAttribute(Qt::WA_DeleteOnClose);
    question->setIcon(QMessageBox::Question);
    question->setWindowTitle(tr("Footage outside the session's folder"));
    question->setTextFormat(Qt::PlainText); // of the text only: names of folders may be anything
    question->setText(tr("%1 names footage outside its own folder. May it be read there?").arg(m_model.title())
                      + QStringLiteral("\n\n") + names);
    auto* yes = question->addButton(tr("Read it"), QMessageBox::AcceptRole);
    question->addButton(tr("Leave these captures absent"), QMessageBox::RejectRole);
    connect(question, &QDialog::finished, this, [this, question, yes, folders] {
        if (folders == m_model.footageToAskFor())
            m_model.answerFootage(question->clickedButton() == yes);
    });
    question->open();
}

MainWindow::~MainWindow() { qApp->removeEventFilter(this); }

void MainWindow::makePages()
{
    m_stack = new QStackedWidget;
    m_results = new SessionResults(m_model, this);
    connect(m_results, &SessionResults::problem, this, &MainWindow::showProblem);
    m_desk = new DeskPage(m_model, *m_results, m_pool);
    auto* clocks = new ClockPage(m_model);
    clocks->setFrameInView([this]() -> std::optional<FrameInView> {
        return m_desk->captureInView() ? std::optional(FrameInView{m_desk->captureInView(), m_desk->frameInView()})
                                       : std::nullopt;
    });
    m_pages = {new PlanPage(m_model, *m_results), clocks, m_desk, new ResultsPage(m_model, *m_results),
               new PublishPage(m_model, *m_results)};
    auto* findings = new PictureFindings(m_model, m_pool, this);
    connect(findings, &PictureFindings::found, this, &MainWindow::showProblem);
    clocks->setPictureFindings(*findings);
    for (Page* page : std::as_const(m_pages)) {
        m_stack->addWidget(page);
        page->setAccessibleName(page->name());
        connect(page, &Page::problem, this, &MainWindow::showProblem);
        connect(page, &Page::goTo, this, &MainWindow::showPage);
        connect(page, &Page::trialAsked, this, [this](qint64 trial) {
            m_desk->goToTrial(session::TrialId{trial});
            showPage(m_desk->name());
        });
        connect(page, &Page::captureAsked, this, [this](qint64 capture) {
            m_desk->showCapture(session::CaptureId{capture});
            showPage(m_desk->name());
        });
        connect(page, &Page::clockAsked, this, [this, clocks](qint64 clock) {
            clocks->showClock(session::ClockId{clock});
            showPage(clocks->name());
        });
        connect(page, &Page::stateChanged, this, [this, page] {
            if (m_stack->currentWidget() == page && m_keys)
                m_keys->setKeys(page->keys());
        });
    }
    connect(m_desk, &DeskPage::openSessionAsked, this, &MainWindow::openAsked);
    connect(m_desk, &DeskPage::openSampleAsked, this, [this] { openPath(m_samplePath); });
    connect(m_desk, &DeskPage::firstSessionAsked, this, &MainWindow::beginFirstSession);
}

Page* MainWindow::page(const QString& name) const
{
    for (Page* page : m_pages)
        if (page->name() == name)
            return page;
    return nullptr;
}

void MainWindow::showPage(const QString& name)
{
    for (int i = 0; i < m_pages.size(); ++i)
        if (m_pages[i]->name() == name)
            showPageAt(i);
}

void MainWindow::showPageAt(int index)
{
    Page* page = m_pages[index];
    m_tabs->setCurrent(index);
    m_stack->setCurrentWidget(page);
    m_keys->setKeys(page->keys());
    m_desk->setInFront(page == m_desk);
    if (m_first)
        m_first->setPageInFront(page->name());
    page->entered();
}

void MainWindow::showProblem(const QString& sentence) { m_problems->add(sentence); }

void MainWindow::setSampleSession(const QString& path)
{
    m_samplePath = path;
    m_sample->setVisible(!path.isEmpty());
    m_desk->setSampleOffered(!path.isEmpty());
}

void MainWindow::refreshState()
{
    const QString title = m_model.title();
    m_title->setText(tr("%1  ·  %2").arg(title, m_model.state()));
    m_title->setToolTip(m_model.isDraft() ? QString() : m_model.path());
    if (auto* bar = menuBar(); bar->cornerWidget())
        bar->setCornerWidget(bar->cornerWidget()); // else it keeps its place and grows out of the window
    setWindowTitle(tr("%1 - Tallyframe").arg(title));
    const bool opening = m_model.phase() == SessionModel::Phase::Opening;
    const bool closing = m_model.phase() == SessionModel::Phase::Closing;
    m_stopOpening->setVisible(opening);
    if (!closing || !m_model.slow())
        m_toldOfSlowClosing = false;
    else if (!std::exchange(m_toldOfSlowClosing, true))
        showProblem(m_model.pending()
                        ? tr("The disk of %1 doesn't answer, so it can't be closed yet. Closing again leaves at once; "
                             "the latest changes, which the disk hasn't taken, are lost then.")
                              .arg(title)
                        : tr("The disk of %1 doesn't answer, so it can't be closed yet. Closing again leaves at once; "
                             "every change made is kept and is there at the next opening.")
                              .arg(title));
    m_save->setEnabled(!m_model.readOnly());
    m_discard->setEnabled(m_model.isDraft());
}

void MainWindow::refreshUndo()
{
    if (m_model.pending())
        return; // what is undone next is what the window shows, not what is still being written
    const QString undo = m_model.readOnly() ? QString() : m_model.undoLabel();
    const QString redo = m_model.readOnly() ? QString() : m_model.redoLabel();
    m_undo->setText(undo.isEmpty() ? tr("&Undo") : tr("&Undo: %1").arg(menuText(undo)));
    m_redo->setText(redo.isEmpty() ? tr("&Redo") : tr("&Redo: %1").arg(menuText(redo)));
    // Both stay enabled: a key that comes while the change it means is still being made must not be lost.
    const QString whole = tr("Undo: %1").arg(undo);
    m_undoButton->setText(menuText(m_undoButton->fontMetrics().elidedText(whole, Qt::ElideRight, undoWidth)));
    m_undoButton->setToolTip(whole);
    m_undoButton->setVisible(!undo.isEmpty());
    m_nothingToUndo->setVisible(undo.isEmpty());
}

void MainWindow::closeEvent(QCloseEvent* event)
{
    memory::saveGeometry(*this);
    m_desk->leave();
    const bool closing = m_model.phase() == SessionModel::Phase::Closing;
    if (closing && m_model.slow())
        m_model.leave();
    if (m_closeAnyway || m_model.phase() == SessionModel::Phase::Nothing || (closing && m_model.slow())) {
        event->accept();
        return;
    }
    event->ignore(); // the window goes once the session has been closed
    m_model.close();
}

void MainWindow::resizeEvent(QResizeEvent* event)
{
    QMainWindow::resizeEvent(event);
    m_help->setGeometry(rect());
}

} // namespace ui
