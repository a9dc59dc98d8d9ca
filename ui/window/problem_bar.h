#pragma once
#include <QString>
#include <QVector>
#include <QWidget>

class QVBoxLayout;

namespace ui {

/// What went wrong, one sentence a line, in the way of nothing. Each stays until it is dismissed.
class ProblemBar : public QWidget {
    Q_OBJECT
public:
    explicit ProblemBar(QWidget* parent = nullptr);
    void add(const QString& sentence);
    void clear();
    QStringList sentences() const;

protected:
    void paintEvent(QPaintEvent*) override;

private:
    void rebuild();

    struct Told {
        QString sentence;
        int times = 1;
    };
    QVector<Told> m_told; ///< newest last
    QVBoxLayout* m_rows;
};

} // namespace ui
