#pragma once
#include "core/session/edits.h"
#include "tests/footage/temp_folder.h"
#include "ui/clock/clock_page.h"
#include "ui/model/session_model.h"

#include <QLineEdit>
#include <QPushButton>
#include <catch2/catch.hpp>
#include <memory>

namespace ui {
class RowList;
}

/// The clock page in front of a session that is open for writing in a folder of its own, used by real keys and clicks.
/// What the program remembers goes elsewhere than the user's settings.
class ClockBench {
public:
    explicit ClockBench(const session::Document& document = {});
    /// A capture of 1000 frames that isn't there, whose tag states a rate.
    static session::NewCapture newCapture(const std::string& name, const std::string& mode, double tag);
    /// Of a film in the folder, as the desk takes it in.
    session::NewCapture described(const std::string& name) const;
    void add(const std::vector<session::NewCapture>& captures);
    void act(const ui::SessionModel::MakeEdit& make);
    /// At the size that 1280 x 800 leaves for a page, unless told otherwise.
    void open(int width = 1280, int height = 690);
    /// Opens a section by the keys of the bar.
    void section(const char* id);

    template <class Widget> Widget* child(const char* name) const
    {
        auto* found = page->findChild<Widget*>(QString::fromLatin1(name));
        INFO(name);
        REQUIRE(found);
        return found;
    }
    ui::RowList* list(const char* spoken) const;
    QString label(const char* name) const;
    bool shows(const char* name) const; ///< whether any of the widget of this name is to be seen on the page
    void type(const char* field, const QString& text); ///< and Tab
    void click(const char* button);                    ///< where it is to be seen; scrolls to it
    void clickRow(ui::RowList& list, int row);
    void pick(const char* box, int row);                         ///< by keys, as the analyst would
    void key(Qt::Key key, Qt::KeyboardModifiers modifiers = {}); ///< to whatever has the keyboard
    void undo();

    const session::Document& document() const { return *model.document(); }
    const session::Capture& capture(int index) const;
    const session::Clock& clockOf(int index) const;

    TempFolder folder;
    ui::SessionModel model;
    QStringList problems;
    std::unique_ptr<ui::ClockPage> page;
};
