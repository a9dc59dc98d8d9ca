#include "ui/model/session_results.h"
#include "core/report/tables.h"
#include "tests/gui/pages_session.h"

#include <QSignalSpy>
#include <QTemporaryDir>
#include <QTest>
#include <catch2/catch.hpp>

using namespace pages_session;

namespace {

/// All there is to say of results, for machines.
std::string told(const session::Document& document, const analysis::Results& results)
{
    return report::resultsCsv(document, results) + report::trialsCsv(document, results);
}

struct Open {
    Open() { REQUIRE(openIn(model, folder.path(), document())); }
    void setMargin(double ms)
    {
        REQUIRE(model.edit([ms](const session::Document& latest) { return session::setMargin(latest, ms); }));
    }
    bool known(const session::Document& document) const
    {
        return told(*results.known().document, *results.known().results) == told(document, analysis::compute(document));
    }

    QTemporaryDir folder;
    session::OpenSession* door = nullptr; ///< of the session that was opened last
    ui::SessionModel model{{.open = [this](const std::filesystem::path& path, session::OpenSession::Notices notices) {
        auto opened = session::OpenSession::open(path, std::move(notices));
        door = opened.get();
        return opened;
    }}};
    ui::SessionResults& results = *new ui::SessionResults(model, &model);
};

} // namespace

TEST_CASE("results follow the session, and belong to the document that they came with", "[pages][results]")
{
    Open open;
    REQUIRE(settled(open.model));
    CHECK(open.results.known().document == open.model.document());
    CHECK(open.known(*open.model.document()));

    open.setMargin(0.25);
    REQUIRE(settled(open.model));
    CHECK(open.results.known().document == open.model.document());
    CHECK(open.results.known().results->marginMs == 0.25);
    CHECK(open.known(*open.model.document()));
}

TEST_CASE("of a burst of edits only the latest is worked out after the one under way", "[pages][results]")
{
    Open open;
    REQUIRE(settled(open.model));
    QSignalSpy changes(&open.results, &ui::SessionResults::changed);
    QSignalSpy accepted(&open.model, &ui::SessionModel::changed);
    constexpr int edits = 200;
    for (int i = 1; i <= edits; ++i)
        open.setMargin(i / 100.0);
    open.door->save(); // all are written before the window hears of the first, however slow the disk
    REQUIRE(settled(open.model));
    CHECK(accepted.size() == edits);
    CHECK(changes.size() < edits);
    CHECK(open.results.known().results->marginMs == edits / 100.0);
    CHECK(open.known(*open.model.document()));
}

TEST_CASE("a pair is compared beside the results and goes with its configurations", "[pages][results]")
{
    Open open;
    const auto first = configurationNamed(*open.model.document(), "Powered hub"),
               second = configurationNamed(*open.model.document(), "Chained hubs");
    open.results.askPair(first, second);
    REQUIRE(settled(open.model));
    REQUIRE(open.results.known().pair);
    const auto expected = analysis::pairOf(*open.model.document(), first, second);
    CHECK(told(*open.model.document(), *open.results.known().pair) == told(*open.model.document(), expected));

    // Another pair leaves the results as they are.
    const auto results = open.results.known().results;
    open.results.askPair(second, first);
    REQUIRE(settled(open.model));
    CHECK(open.results.known().results == results);
    CHECK(open.results.known().pair->baseline == first);

    open.results.askPair(first, session::ConfigurationId{987654});
    REQUIRE(settled(open.model));
    CHECK_FALSE(open.results.known().pair);
    open.results.askPair({}, {});
    REQUIRE(settled(open.model));
    CHECK_FALSE(open.results.known().pair);
}

TEST_CASE("nothing of the session before is shown in another one", "[pages][results]")
{
    const QTemporaryDir other; // outlives the session in it
    Open open;
    REQUIRE(settled(open.model));
    REQUIRE_FALSE(open.results.known().results->configurations.empty());
    open.setMargin(0.75); // still being worked out when the other session comes
    bool shownSince = false;
    QObject::connect(&open.model, &ui::SessionModel::sessionReplaced, [&] {
        QObject::connect(&open.results, &ui::SessionResults::changed, [&] {
            for (const auto& result : open.results.known().results->configurations)
                shownSince = shownSince || result.trials > 0;
        });
    });
    REQUIRE(openIn(open.model, other.path(), session::Document{}));
    REQUIRE(settled(open.model));
    CHECK_FALSE(shownSince);
    CHECK(open.results.known().results->configurations.empty());
}
