#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/analysis/reading_agreement.h"
#include "ui/results/results_view.h"

class QGridLayout;

namespace ui {

class RowList;

/// How well readings agree, within a reader and between two, and the trials to settle by looking again.
class AgreementPanel : public QWidget {
    Q_OBJECT
public:
    explicit AgreementPanel(QWidget* parent = nullptr);
    void show(const ResultsView& view);
    void focusList(); ///< the keyboard to what is to be settled

signals:
    void trialAsked(qint64 trial); ///< to be opened at the desk

protected:
    void keyPressEvent(QKeyEvent*) override;

private:
    void showPairs(const ResultsView& view);
    void openCurrent();

    analysis::ReadingAgreement m_agreement;
    Panel *m_panel, *m_settle;
    Label *m_summary, *m_scatter, *m_nothing;
    QWidget* m_table;
    QGridLayout* m_pairs;
    RowList* m_list;
    struct Row {
        QString trial, why;
    };
    QVector<Row> m_rows;
};

} // namespace ui
