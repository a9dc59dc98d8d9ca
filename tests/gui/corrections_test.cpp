#include "tests/gui/page_in_front.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/plan/plan_page.h"

using namespace pages_session;

TEST_CASE("the lamp's lead and stated widths are typed in once for all, and undo takes them back", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    desk.unfold("Corrections");
    desk.type(desk.child<ui::CommitEdit>("lampLead"), "-0,25");
    desk.key(Qt::Key_Tab);
    desk.type(desk.child<ui::CommitEdit>("lampLeadWidth"), "0.1");
    desk.key(Qt::Key_Tab);
    desk.type(desk.child<ui::CommitEdit>("onsetWidth"), "0.5");
    desk.key(Qt::Key_Tab);
    CHECK(desk.document().settings.event.lampLeadMs == -0.25);
    CHECK(desk.document().settings.event.lampLeadWidthMs == 0.1);
    CHECK(desk.document().settings.event.onsetWidthMs == 0.5);
    desk.type(desk.child<ui::CommitEdit>("onsetWidth"), "-1");
    desk.key(Qt::Key_Tab);
    CHECK(desk.problems.size() == 1);
    CHECK(desk.document().settings.event.onsetWidthMs == 0.5);
    desk.undo();
    CHECK(desk.document().settings.event.onsetWidthMs == 0);
}

TEST_CASE("a common height is off until it is chosen, and a configuration's height is typed in", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    desk.unfold("Corrections");
    auto* height = desk.child<ui::CommitEdit>("commonHeight");
    CHECK_FALSE(height->isEnabled());
    CHECK_FALSE(desk.document().settings.event.commonHeight);
    auto* choice = desk.child<ui::ChoiceBox>("commonHeightChoice");
    choice->setFocus();
    desk.key(Qt::Key_Down);
    CHECK(desk.document().settings.event.commonHeight == 0.5);
    CHECK(height->isEnabled());
    desk.type(height, "0.25");
    desk.key(Qt::Key_Tab);
    CHECK(desk.document().settings.event.commonHeight == 0.25);

    desk.unfold("Rates and height");
    auto* own = desk.child<ui::CommitEdit>("reactionHeight");
    desk.type(own, "0.75");
    desk.key(Qt::Key_Return);
    CHECK(session::find(desk.document(), configurationNamed(desk.document(), "Direct"))->reactionHeight == 0.75);
    desk.type(own, "2");
    desk.key(Qt::Key_Return);
    CHECK(desk.problems.size() == 1);
}
