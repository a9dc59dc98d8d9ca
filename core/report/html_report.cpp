#include "core/report/html_report.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/report/earlier_session.h"
#include "core/report/markup.h"
#include "core/report/method_note.h"
#include "core/report/own_sentences.h"
#include "core/report/sentences.h"

#include <algorithm>

namespace report {
namespace {

constexpr int plotWidth = 900, plotHeight = 150, plotMargin = 44;

// Colours of system and paper; numbers stand below each other.
const char* const style = R"(
:root { color-scheme: light dark; --line: #8888; --quiet: #767676; --bad: #b3478f; }
body { font: 16px/1.5 "Open Sans", "Noto Sans", sans-serif; max-width: 60rem; margin: 2rem auto; padding: 0 1rem; }
h1, h2, h3 { line-height: 1.25; } h2 { margin-top: 2.5rem; border-top: 1px solid var(--line); padding-top: 1rem; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; font-size: 0.9rem; }
th, td { text-align: right; padding: 0.25rem 0.5rem; border-bottom: 1px solid var(--line); vertical-align: middle; }
th:first-child, th:last-child, td:first-child, .word { text-align: left; }
.quiet { color: var(--quiet); } .out { color: var(--bad); }
svg { max-width: 100%; height: auto; } pre { white-space: pre-wrap; font-size: 0.8rem; }
.trial, td:has(img) { white-space: nowrap; }
td img { height: 40px; image-rendering: pixelated; margin-left: 2px; vertical-align: middle; }
@media print { body { margin: 0; max-width: none; } h2, tr, svg { break-inside: avoid; } }
)";

QByteArray escaped(const std::string& words) { return asMarkup(QString::fromStdString(words)).toUtf8(); }
QByteArray oneDecimal(double value) { return QByteArray::number(value, 'f', 1); }

class Page {
public:
    Page(const session::Document& document, const analysis::Results& results, const ReportParts& parts)
        : m_document(document), m_results(results), m_parts(parts)
    {}

    QByteArray make()
    {
        const std::string title =
            m_document.settings.title.empty() ? "Results" : analysis::oneLine(m_document.settings.title);
        m_html = "<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n<meta "
                 "charset=\"utf-8\"/>\n<meta name=\"viewport\" content=\"width=device-width\"/>\n<title>"
                 + escaped(title) + "</title>\n<style>" + QByteArray(style) + "</style>\n</head>\n<body>\n<h1>"
                 + escaped(title) + "</h1>\n";
        paragraph(m_document.settings.plan.question);
        for (const QByteArray& chart : m_parts.charts)
            m_html += "<figure>" + chart.mid(chart.indexOf("<svg")) + "</figure>\n";
        sentences();
        configurations();
        for (const analysis::ConfigurationResult& result : m_results.configurations)
            trials(result);
        for (const analysis::EarlierResults& earlier : m_results.earlier)
            earlierSession(earlier);
        heading("How it was measured");
        m_html +=
            "<pre>" + escaped(methodNote(m_document, m_results, m_parts.programVersion)) + "</pre>\n</body>\n</html>\n";
        return m_html;
    }

private:
    void heading(const std::string& words) { m_html += "<h2>" + escaped(words) + "</h2>\n"; }
    void paragraph(const std::string& words, const char* attributes = "")
    {
        if (!words.empty())
            m_html += QByteArray("<p") + attributes + ">" + escaped(words) + "</p>\n";
    }
    void cell(const QByteArray& html, const char* attributes = "")
    {
        m_html += QByteArray("<td") + attributes + ">" + html + "</td>";
    }
    void head(std::initializer_list<const char*> columns)
    {
        m_html += "<table>\n<thead><tr>";
        for (const char* column : columns)
            m_html += QByteArray("<th scope=\"col\">") + column + "</th>";
        m_html += "</tr></thead>\n<tbody>\n";
    }
    void end() { m_html += "</tbody>\n</table>\n"; }

    void sentences()
    {
        heading("What was found");
        m_html += "<ul>\n";
        for (const ScriptSentence& sentence : scriptSentences(m_results))
            m_html += "<li>" + escaped(sentence.sentence) + " <span class=\"quiet\">(" + escaped(sentence.figures)
                      + ")</span></li>\n";
        for (const OwnSentence& own : ownSentences(m_document, m_results))
            if (own.problem.empty())
                m_html += "<li>" + escaped(own.sentence)
                          + (own.figures.empty() ? QByteArray()
                                                 : " <span class=\"quiet\">(" + escaped(own.figures) + ")</span>")
                          + "</li>\n";
        m_html += "</ul>\n";
        for (const std::string& warning : m_results.warnings)
            paragraph(warning, " class=\"out\"");
    }

    void configurationsHead()
    {
        head({"Configuration", "Trials", "Mean, ms", "Difference, ms", "Interval, ms", "Verdict"});
    }

    void configurations()
    {
        heading("Configurations");
        configurationsHead();
        for (const analysis::ConfigurationResult& result : m_results.configurations)
            configurationRow(result, verdictWords(m_results, result));
        end();
    }

    void configurationRow(const analysis::ConfigurationResult& result, const std::string& verdict)
    {
        const auto mean = analysis::meanFigure(result);
        const auto difference = analysis::differenceFigure(m_results, result);
        m_html += "<tr>";
        cell(escaped(result.name));
        cell(QByteArray::number(result.n));
        cell(escaped(mean ? analysis::plusMinus(*mean) : noMeanWords(result)));
        cell(difference ? escaped(difference->value) : QByteArray());
        cell(difference && !difference->low.empty() ? escaped(difference->low + " to " + difference->high)
                                                    : QByteArray());
        cell(escaped(verdict), " class=\"word\"");
        m_html += "</tr>\n";
    }

    void earlierSession(const analysis::EarlierResults& earlier)
    {
        heading("Earlier: " + earlier.title);
        paragraph(earlierMethod(*find(m_document, earlier.session)));
        paragraph(bridgeSentence(m_results, earlier));
        configurationsHead();
        for (const analysis::ConfigurationResult& result : earlier.configurations)
            configurationRow(result, result.configuration == earlier.there ? "Measured in both"
                                                                           : verdictWords(m_results, result));
        end();
        for (const analysis::ConfigurationResult& result : earlier.configurations)
            plot(result);
    }

    void trials(const analysis::ConfigurationResult& result)
    {
        if (result.trials == 0)
            return;
        heading(result.name);
        paragraph(countsLine(result));
        for (const std::string& sentence : verdictExplanation(m_results, result))
            paragraph(sentence);
        plot(result);
        head({"Trial", "Press", "Response", "Camera frames", "Delay, ms", "At least, at most", "Lamp, screen at both",
              "State"});
        for (const analysis::TrialOutcome& trial : m_results.trials)
            if (trial.configuration == result.configuration)
                row(trial);
        end();
    }

    void row(const analysis::TrialOutcome& outcome)
    {
        const session::Trial& trial = *session::find(m_document, outcome.trial);
        const session::Reading* reading = session::countingReading(trial);
        const auto frame = [](const std::optional<timing::FrameNumber>& n) {
            return n ? QByteArray::number(n->value) : QByteArray();
        };
        m_html += "<tr>";
        cell(escaped(session::trialName(m_document, outcome.trial)), " class=\"trial\"");
        cell(frame(outcome.press));
        cell(frame(outcome.response));
        cell(outcome.counted ? QByteArray::number(outcome.counted->value) : QByteArray());
        if (outcome.delay) {
            const analysis::DelayFigure figure = analysis::delayFigure(*outcome.delay);
            cell(escaped(figure.delay));
            cell(escaped(figure.earliest + ", " + figure.latest), " class=\"quiet\"");
        } else {
            cell({});
            cell({});
        }
        QByteArray crops;
        if (reading && reading->press)
            crops += picture(reading->press->crops.lampAt, "lamp at the press");
        if (reading && reading->response)
            crops += picture(reading->response->crops.screenBefore, "screen before the response")
                     + picture(reading->response->crops.screenAt, "screen at the response");
        cell(crops);
        std::string state = analysis::label(outcome.state);
        if (trial.reject)
            state += std::string(": ") + session::label(trial.reject->reason)
                     + (trial.reject->note.empty() ? "" : ", " + analysis::oneLine(trial.reject->note));
        const bool counts = outcome.state == analysis::TrialState::Counts;
        cell(escaped(state), counts ? " class=\"word\"" : " class=\"word out\"");
        m_html += "</tr>\n";
    }

    QByteArray picture(const std::string& sha256, const char* what)
    {
        if (sha256.empty() || !m_parts.crop)
            return {};
        const auto png = m_parts.crop(sha256);
        if (!png)
            return {};
        const QByteArray bytes(reinterpret_cast<const char*>(png->data()), static_cast<qsizetype>(png->size()));
        return QByteArray("<img alt=\"") + what + "\" src=\"data:image/png;base64," + bytes.toBase64() + "\"/>";
    }

    /// Delays in the order of the trials, all configurations on one scale, with the mean's line.
    void plot(const analysis::ConfigurationResult& result)
    {
        if (result.n == 0)
            return;
        double low = result.delaysMs.front(), high = low;
        for (const analysis::ConfigurationResult& other : m_results.configurations)
            for (const double delay : other.delaysMs) {
                low = std::min(low, delay);
                high = std::max(high, delay);
            }
        const double range = std::max(high - low, 1e-6);
        const auto y = [&](double delay) { return plotHeight - 20 - (delay - low) / range * (plotHeight - 40); };
        const QByteArray right = QByteArray::number(plotWidth);
        m_html += "<svg viewBox=\"0 0 " + right + ' ' + QByteArray::number(plotHeight)
                  + "\" role=\"img\" fill=\"currentColor\" font-size=\"13\"><title>Delays of " + escaped(result.name)
                  + " in order, ms</title>";
        for (const double edge : {low, high})
            m_html += "<text x=\"" + QByteArray::number(plotMargin - 6) + "\" y=\"" + oneDecimal(y(edge) + 4)
                      + "\" text-anchor=\"end\">" + oneDecimal(edge) + "</text><path stroke=\"var(--line)\" d=\"M"
                      + QByteArray::number(plotMargin) + ' ' + oneDecimal(y(edge)) + "H" + right + "\"/>";
        if (const stats::MeanOnBasis* mean = result.mean.shown())
            m_html += "<path stroke=\"currentColor\" stroke-dasharray=\"2 3\" d=\"M" + QByteArray::number(plotMargin)
                      + ' ' + oneDecimal(y(mean->estimateMs)) + "H" + right + "\"/>";
        const double step = (plotWidth - plotMargin - 20.0) / static_cast<double>(result.delaysMs.size());
        for (std::size_t i = 0; i < result.delaysMs.size(); ++i)
            m_html += "<circle r=\"4\" cx=\"" + oneDecimal(plotMargin + 10 + step * (static_cast<double>(i) + 0.5))
                      + "\" cy=\"" + oneDecimal(y(result.delaysMs[i])) + "\"/>";
        m_html += "</svg>\n";
    }

    const session::Document& m_document;
    const analysis::Results& m_results;
    const ReportParts& m_parts;
    QByteArray m_html;
};

} // namespace

QByteArray htmlReport(const session::Document& document, const analysis::Results& results, const ReportParts& parts)
{
    return Page(document, results, parts).make();
}

} // namespace report
