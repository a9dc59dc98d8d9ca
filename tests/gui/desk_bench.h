#pragma once
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"
#include "ui/desk/desk_page.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include "ui/window/main_window.h"
#include <QStringList>
#include <functional>
#include <memory>

/// The real window on a session, worked by keys and mouse, with short films of known truth.
class DeskBench {
public:
    using WithPool = std::function<void(ui::FootagePool&)>;
    /// A new session without a name, of an application that has never been started. `withPool` is called for each pool,
    /// before the window knows of it.
    explicit DeskBench(WithPool withPool = {});
    ~DeskBench();

    /// A film of the bench scene; `seed` makes films differ. Two presses, the response of each in the film.
    footage::Truth film(const std::string& name, std::uint64_t seed = 1);
    QString path(const std::string& name) const;

    void offer(const QStringList& paths); ///< drops files on the window
    void drop(const QStringList& paths);  ///< the same, and waits until all of them are captures
    /// Closes the window and whatever it knew, and starts it again on that session file; empty: without one.
    void restart(const QString& session);
    void drawRegions(const footage::Truth& truth); ///< of the capture on the desk, by an edit
    void addConfigurations(const std::vector<std::string>& names);

    void key(int key, Qt::KeyboardModifiers modifiers = Qt::NoModifier); ///< to whatever has the keyboard
    void keys(const QString& letters);                                   ///< one after the other
    void right(std::int64_t frames); ///< by single steps, tens and hundreds; negative goes left
    /// Processes events until it holds; fails the test after `seconds`, when it surely never comes.
    static void waitFor(const std::function<bool()>& holds, double seconds = 120);
    void settle(); ///< until every key has had its effect
    std::shared_ptr<const session::Document> document() const { return model->document(); }
    const session::Trial& trial(int number) const; ///< of the only or current capture, from 1 by press
    std::vector<const session::Trial*> trials(const std::string& capture) const;
    ui::DeskPage& desk() const;
    QStringList problems() const { return m_problems; }

    TempFolder folder;
    std::unique_ptr<ui::SessionModel> model;
    std::unique_ptr<ui::FootagePool> pool;
    std::unique_ptr<ui::MainWindow> window;

private:
    void makeModel();
    void openWindow();
    WithPool m_withPool;
    QStringList m_problems;
};
