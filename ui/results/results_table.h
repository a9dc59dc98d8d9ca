#pragma once
#include <QWidget>
#include "ui/results/results_view.h"
#include "ui/results/value_axis.h"

class QScrollArea;

namespace ui {

class RowList;

/// Where the columns of the results table stand. Right edges, in pixels; words of a column end there or start at its
/// left.
struct ResultsColumns {
    int name = 0; ///< width of the names
    int plotLeft = 0, plotRight = 0;
    int trials = 0, mean = 0;                          ///< right edges
    int median = 0, sd = 0, range = 0, difference = 0; ///< the same, of all figures
    int verdict = 0, right = 0;                        ///< left and right edge: what it says in short, or a verdict
    static ResultsColumns of(int width, bool allFigures);
};

/// One row a configuration on one shared axis: its mean and in a sentence what it adds, how sure that is and what is
/// missing; or all its figures and its verdict.
class ResultsTable : public QWidget {
    Q_OBJECT
public:
    explicit ResultsTable(QWidget* parent = nullptr);
    void show(const ResultsView& view);
    void showAllFigures(bool all);
    RowList& list() { return *m_list; }

signals:
    void chosen(session::ConfigurationId id);

protected:
    void paintEvent(QPaintEvent*) override; ///< column headings
    void resizeEvent(QResizeEvent*) override;

private:
    void measureAxis();
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;
    void paintName(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result, int row) const;
    void paintPlot(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result) const;
    void paintFigures(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result,
                      bool selected) const;
    void paintMoreFigures(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result) const;
    int paintGlyph(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result,
                   bool selected) const; ///< where words begin
    void paintInShort(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result,
                      bool selected) const;
    void paintVerdict(QPainter& painter, const QRect& rect, const analysis::ConfigurationResult& result,
                      bool selected) const;

    ResultsView m_view;
    std::optional<ValueAxis> m_axis; ///< empty where no trial has a delay
    bool m_allFigures = false;
    RowList* m_list;
};

} // namespace ui
