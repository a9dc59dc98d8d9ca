#include "ui/results/copied_table.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/report/csv.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"

#include <QCoreApplication>
#include <QMimeData>

namespace ui {
namespace {

QString tr(const char* words) { return QCoreApplication::translate("ui", words); }

QStringList cellsOf(const ResultsView& view, const analysis::ConfigurationResult& result)
{
    // Names hold whatever was typed, and a spreadsheet that they are pasted into shall take it for text.
    const auto text = [](const std::string& utf8) {
        return QString::fromStdString(report::asSpreadsheetText(utf8)).replace(QLatin1Char('\t'), QLatin1Char(' '));
    };
    const auto number = [](const std::string& digits) { return QString::fromStdString(digits); };
    QStringList cells{text(result.name), QString::number(result.n), QString::number(result.rejected)};
    const auto fixed = [](const std::optional<double>& value, int decimals) {
        return value ? QString::number(*value, 'f', decimals) : QString();
    };
    const analysis::Figure mean = analysis::meanFigure(result).value_or(analysis::Figure{});
    const analysis::Figure difference = analysis::differenceFigure(*view.results, result).value_or(analysis::Figure{});
    cells << number(mean.value) << number(mean.halfWidth);
    cells << fixed(result.summary.median, mean.decimals) << fixed(result.summary.sd, mean.decimals)
          << fixed(result.summary.min, mean.decimals) << fixed(result.summary.max, mean.decimals);
    cells << number(difference.value) << number(difference.low) << number(difference.high)
          << text(report::verdictWords(*view.results, result));
    for (QString& cell : cells)
        cell.replace(QLatin1Char('\n'), QLatin1Char(' ')).replace(QLatin1Char('\r'), QLatin1Char(' '));
    return cells;
}

} // namespace

QMimeData* copiedTable(const ResultsView& view)
{
    const QString level = QString::fromStdString(analysis::percent(view.results->level));
    QStringList lines{QStringList{tr("Configuration"), tr("Trials"), tr("Rejected"), tr("Mean, ms"),
                                  QStringLiteral("\u00b1 %1").arg(level), tr("Median"), tr("SD"), tr("Min"), tr("Max"),
                                  tr("Difference"), tr("from"), tr("to"), tr("Verdict")}
                          .join(QLatin1Char('\t'))};
    for (const analysis::ConfigurationResult& result : view.results->configurations)
        lines << cellsOf(view, result).join(QLatin1Char('\t'));
    auto* copied = new QMimeData;
    copied->setText(lines.join(QLatin1Char('\n')) + QLatin1Char('\n'));
    copied->setData(QStringLiteral("text/csv"),
                    QByteArray::fromStdString(report::resultsCsv(*view.document, *view.results)));
    return copied;
}

QMimeData* copiedBudget(const QString& title, const report::BudgetTable& table, const analysis::Results& results)
{
    const auto number = [](double value) { return QString::fromStdString(analysis::plain(value == 0 ? 0.0 : value)); };
    const auto line = [](const QStringList& cells) { return cells.join(QLatin1Char('\t')); };
    QString heading = title;
    QStringList lines{heading.replace(QLatin1Char('\t'), QLatin1Char(' ')),
                      line({tr("Cause"), tr("Kind"), tr("u of the cause"), tr("Unit"), tr("Weight"),
                            tr("Unit of the weight"), tr("Standard u, ms"), tr("Degrees of freedom"), tr("Share")})};
    for (const report::BudgetRow& row : table.rows) {
        QString cause = QString::fromStdString(report::asSpreadsheetText(row.cause));
        lines << line({cause.replace(QLatin1Char('\t'), QLatin1Char(' ')), QString::fromLatin1(row.kind), number(row.u),
                       QString::fromLatin1(row.unit), number(row.weight), QString::fromLatin1(row.weightUnit),
                       number(row.uMs), number(row.dof), number(row.share)});
    }
    const stats::Expanded& all = table.together;
    lines << line({tr("together"), {}, {}, {}, {}, {}, number(all.uMs), number(all.dof), number(1)});
    lines << line({tr("coverage factor at %1").arg(QString::fromStdString(analysis::percent(all.level))),
                   {},
                   {},
                   {},
                   {},
                   {},
                   number(all.factor)});
    lines << line({tr("half-width"), {}, {}, {}, {}, {}, number(all.halfWidthMs)});
    lines << line({tr("estimate"), {}, {}, {}, {}, {}, number(all.estimateMs)});
    auto* copied = new QMimeData;
    copied->setText(lines.join(QLatin1Char('\n')) + QLatin1Char('\n'));
    copied->setData(QStringLiteral("text/csv"), QByteArray::fromStdString(report::budgetCsv(results)));
    return copied;
}

} // namespace ui
