#pragma once
#include <QMainWindow>
#include "ui/footage/footage_pool.h"
#include "ui/model/session_results.h"

class QAction;
class QMenu;
class QStackedWidget;

namespace ui {

class DeskPage;
class FirstSession;
class HelpOverlay;
class KeyBar;
class KeyButton;
class Label;
class Page;
class PageTabs;
class ProblemBar;
struct MovableKey;

/// The window: menus, the five pages under their tabs, undo, the keys of the page in front, and what went wrong.
/// Model and pool outlive it. Closing it saves and closes the session.
class MainWindow : public QMainWindow {
    Q_OBJECT
public:
    MainWindow(SessionModel& model, FootagePool& pool, QWidget* parent = nullptr);
    ~MainWindow() override;

    /// Session file that "Open the sample session" opens; without one the action is not offered.
    void setSampleSession(const QString& path);
    /// By Page::name(), case counts: "Plan", "Clock", "Read", "Results", "Publish".
    void showPage(const QString& name);
    Page* page(const QString& name) const; ///< null when there is none of that name
    void showProblem(const QString& sentence);

protected:
    void closeEvent(QCloseEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    bool eventFilter(QObject*, QEvent*) override;

private:
    void makePages();
    void makeMenus();
    void makeSessionMenu();
    void makePictureMemoryMenu(QMenu& menu);
    void makeEditMenu();
    void makeViewMenu();
    void makeHelpMenu();
    QAction* addAction(QMenu& menu, const QString& text, const QKeySequence& key, std::function<void()> run);
    void showPageAt(int index);
    void refreshState();
    void refreshUndo();
    void listDrafts();
    void showDrafts(const QVector<WaitingDraft>& drafts);
    void listRecent();
    void askForFootage();
    void openAsked();
    void openPath(const QString& path);
    void saveAsked();
    void saveAsAsked();
    void helpAsked();
    void showHelp(const QString& name);
    void beginFirstSession();
    void leaveFirstSession();
    QVector<MovableKey> movableKeys() const;
    void changeKeysAsked();
    void copyProblemReport();
    void showAbout();
    void setLight(bool light);
    bool takesDrop(QEvent& event);

    SessionModel& m_model;
    FootagePool& m_pool;
    SessionResults* m_results = nullptr;
    QVector<Page*> m_pages;
    DeskPage* m_desk = nullptr;
    PageTabs* m_tabs = nullptr;
    QStackedWidget* m_stack = nullptr;
    ProblemBar* m_problems = nullptr;
    KeyBar* m_keys = nullptr;
    HelpOverlay* m_help = nullptr;
    FirstSession* m_first = nullptr; ///< null while nobody asked for it
    Label* m_title = nullptr;
    Label* m_nothingToUndo = nullptr;
    KeyButton* m_undoButton = nullptr;
    QAction *m_undo = nullptr, *m_redo = nullptr, *m_save = nullptr, *m_sample = nullptr, *m_discard = nullptr,
            *m_stopOpening = nullptr;
    QMenu *m_drafts = nullptr, *m_recent = nullptr;
    QString m_samplePath;
    bool m_showDeskWhenOpen = false, m_closeAnyway = false, m_triedNewSession = false, m_toldOfSlowClosing = false;
};

} // namespace ui
