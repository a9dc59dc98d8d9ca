#include "core/report/html_report.h"
#include "tests/core/analysis/small_session.h"

#include <QXmlStreamReader>
#include <catch2/catch.hpp>

using Catch::Contains;

namespace {

/// All text, in order; fails where the page isn't well-formed or refers to something outside.
std::string wordsOf(const QByteArray& html)
{
    QXmlStreamReader xml(html);
    std::string words;
    while (!xml.atEnd()) {
        xml.readNext();
        for (const QXmlStreamAttribute& attribute : xml.attributes())
            if (attribute.name() == QLatin1String("src") || attribute.name() == QLatin1String("href"))
                CHECK(attribute.value().startsWith(QLatin1String("data:")));
        CHECK(xml.name() != QLatin1String("script"));
        if (xml.isCharacters())
            words += xml.text().toString().toStdString();
    }
    INFO(xml.errorString().toStdString());
    CHECK_FALSE(xml.hasError());
    return words;
}

} // namespace

TEST_CASE("the report holds sentences, figures, every trial and the method on one well-formed page", "[report]")
{
    const small::Session s = small::session();
    const analysis::Results results = analysis::compute(s.document);
    const QByteArray page = report::htmlReport(
        s.document, results, {"1.0", {"<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"/>"}, {}});
    CHECK(page
          == report::htmlReport(s.document, results, {"1.0", {"<svg xmlns=\"http://www.w3.org/2000/svg\"/>"}, {}}));
    const std::string words = wordsOf(page);
    for (const analysis::ConfigurationResult& result : results.configurations)
        CHECK_THAT(words, Contains(result.name));
    for (const analysis::TrialOutcome& trial : results.trials)
        if (analysis::find(results, trial.configuration))
            CHECK_THAT(words, Contains(session::trialName(s.document, trial.trial)));
    CHECK_THAT(words, Contains("Made with Tallyframe 1.0."));
}

TEST_CASE("any name is a name in the report, and crops stand beside their trial", "[report]")
{
    small::Session s = small::session();
    auto named = std::make_shared<session::Configuration>(*session::find(s.document, s.radio));
    named->name = "<script>alert(\"1\")</script> & co";
    s.document.configurations[s.radio] = named;
    auto trial = std::make_shared<session::Trial>(*s.document.trials.begin()->second);
    trial->readings.front().press->crops.lampAt = "aa";
    s.document.trials[trial->id] = trial;
    const QByteArray page = report::htmlReport(
        s.document, analysis::compute(s.document),
        {"1.0", {}, [](const std::string& sha256) -> std::optional<std::vector<std::uint8_t>> {
             return sha256 == "aa" ? std::optional(std::vector<std::uint8_t>{1, 2, 3}) : std::nullopt;
         }});
    CHECK_THAT(wordsOf(page), Contains("<script>alert(\"1\")</script> & co"));
    CHECK(page.contains("src=\"data:image/png;base64,AQID\""));
}
