#pragma once
#include <QListWidget>
#include <functional>

namespace ui {

/// A list whose rows a page paints itself. Selection, hovering and the ring of the keyboard are drawn here.
class RowList : public QListWidget {
    Q_OBJECT
public:
    /// Paints row `row` into `rect`; the state is there already.
    using Paint = std::function<void(QPainter&, const QRect& rect, int row, bool selected)>;
    RowList(int rowHeight, Paint paint, QWidget* parent = nullptr);

    /// One row a text, which screen readers speak. Selection stays on its row as far as there is one. Emits nothing.
    void setRows(const QStringList& spoken);
    void selectRow(int row); ///< emits nothing; -1 selects none
    /// Keys left to whatever the list lies in.
    void setPassedOn(const QVector<int>& keys) { m_passedOn = keys; }
    /// As high as its rows: it never scrolls by itself.
    void setFitted(bool fitted);
    void setHairlines(bool lines) { m_hairlines = lines; } ///< below each row; there unless told otherwise
    int rowHeight() const { return m_rowHeight; }
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override;

signals:
    void rowChosen(int row); ///< by key or mouse

protected:
    void keyPressEvent(QKeyEvent*) override;
    bool event(QEvent*) override;
    void wheelEvent(QWheelEvent*) override;

private:
    friend class RowDelegate;
    int m_rowHeight;
    Paint m_paint;
    QVector<int> m_passedOn;
    bool m_fitted = false, m_hairlines = true;
};

} // namespace ui
