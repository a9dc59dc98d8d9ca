#include "tests/gui/clock_bench.h"
#include "core/media/index/footage.h"
#include "tests/gui/pages_session.h"
#include "ui/controls/section_bar.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/row_list.h"
#include "core/reading/new_capture.h"
#include "ui/look/label.h"

#include <QScrollArea>
#include <QStandardPaths>
#include <QTest>

ClockBench::ClockBench(const session::Document& document)
{
    QStandardPaths::setTestModeEnabled(true);
    QObject::connect(&model, &ui::SessionModel::problem, [this](const QString& sentence) { problems << sentence; });
    REQUIRE(pages_session::openIn(model, QString::fromStdString(folder.path().string()), document));
}

session::NewCapture ClockBench::newCapture(const std::string& name, const std::string& mode, double tag)
{
    session::NewCapture added;
    added.capture.name = name;
    added.capture.path = name + ".mp4";
    added.capture.frames = {1000};
    added.capture.width = 320;
    added.capture.height = 180;
    added.cameraMode = mode;
    added.evidence = {{timing::Origin::Tag, tag, {}, 0.017, "metadata"}};
    return added;
}

session::NewCapture ClockBench::described(const std::string& name) const
{
    return reading::describeCapture(*media::openFootage(folder / name), name);
}

void ClockBench::add(const std::vector<session::NewCapture>& captures)
{
    act([&](const session::Document& d) { return session::addCaptures(d, captures); });
}

void ClockBench::act(const ui::SessionModel::MakeEdit& make)
{
    REQUIRE(model.edit(make));
    REQUIRE(pages_session::settled(model));
}

void ClockBench::open(int width, int height)
{
    page = std::make_unique<ui::ClockPage>(model);
    QObject::connect(page.get(), &ui::Page::problem, [this](const QString& sentence) { problems << sentence; });
    page->resize(width, height);
    page->show();
    page->activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(page.get()));
    page->entered();
    REQUIRE(pages_session::settled(model));
}

void ClockBench::section(const char* id)
{
    auto* bar = child<ui::SectionBar>("clockSections");
    bar->setFocus();
    for (int i = 0; i < 20 && bar->current() != QLatin1String(id); ++i)
        QTest::keyClick(bar, Qt::Key_Right);
    REQUIRE(bar->current() == QLatin1String(id));
}

ui::RowList* ClockBench::list(const char* spoken) const
{
    for (auto* list : page->findChildren<ui::RowList*>())
        if (list->accessibleName() == QString::fromLatin1(spoken))
            return list;
    FAIL("no list named " << spoken);
    return nullptr;
}

QString ClockBench::label(const char* name) const { return child<ui::Label>(name)->text(); }

bool ClockBench::shows(const char* name) const
{
    const auto* widget = child<QWidget>(name);
    return widget->isVisible() && !widget->visibleRegion().isEmpty();
}

void ClockBench::type(const char* field, const QString& text)
{
    auto* edit = child<QLineEdit>(field);
    REQUIRE(edit->isVisible());
    edit->setFocus();
    edit->selectAll();
    QTest::keyClicks(edit, text);
    QTest::keyClick(edit, Qt::Key_Tab);
    REQUIRE(pages_session::settled(model));
}

void ClockBench::click(const char* button)
{
    auto* pressed = child<QPushButton>(button);
    INFO(button);
    REQUIRE(pressed->isVisible());
    for (QWidget* around = pressed->parentWidget(); around; around = around->parentWidget())
        if (auto* area = qobject_cast<QScrollArea*>(around))
            area->ensureWidgetVisible(pressed);
    REQUIRE(pressed->visibleRegion().contains(pressed->rect().center()));
    QTest::mouseClick(pressed, Qt::LeftButton);
    REQUIRE(pages_session::settled(model));
}

void ClockBench::clickRow(ui::RowList& list, int row)
{
    list.scrollToItem(list.item(row));
    QTest::mouseClick(list.viewport(), Qt::LeftButton, {}, list.visualItemRect(list.item(row)).center());
    REQUIRE(pages_session::settled(model));
}

void ClockBench::pick(const char* box, int row)
{
    auto* choice = child<ui::ChoiceBox>(box);
    REQUIRE(choice->isVisible());
    choice->setFocus();
    while (choice->currentIndex() != row) {
        QTest::keyClick(choice, choice->currentIndex() < row ? Qt::Key_Down : Qt::Key_Up);
        REQUIRE(pages_session::settled(model)); // each step may be an edit
    }
}

void ClockBench::key(Qt::Key key, Qt::KeyboardModifiers modifiers)
{
    QWidget* target = page->focusWidget() ? page->focusWidget() : page.get();
    QTest::keyClick(target, key, modifiers);
    REQUIRE(pages_session::settled(model));
}

void ClockBench::undo()
{
    model.undo();
    REQUIRE(pages_session::settled(model));
}

const session::Capture& ClockBench::capture(int index) const
{
    return *session::inOrder(document().captures).at(static_cast<std::size_t>(index));
}

const session::Clock& ClockBench::clockOf(int index) const { return *session::find(document(), capture(index).clock); }
