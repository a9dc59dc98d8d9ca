#pragma once
#include <QWidget> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QVector>

namespace ui {

/// One of several sections is chosen: their names side by side, the chosen one underlined. Left and Right go from one
/// to the next, Enter goes into it.
class SectionBar : public QWidget {
    Q_OBJECT
public:
    struct Section {
        QString id, name;
        bool hidden = false;
        bool marked = false; ///< there is something to see in it
        bool operator==(const Section&) const = default;
    };
    explicit SectionBar(QWidget* parent = nullptr);
    void setSections(
        const QVector<Section>& sections); ///< the chosen one stays, or the first that shows is; emits nothing
    const QString& current() const { return m_current; }
    void choose(const QString& id); ///< emits nothing; one that isn't there or is hidden changes nothing
    void step(int by);              ///< to the next one that shows, round the ends

    QSize sizeHint() const override;
    QSize minimumSizeHint() const override;

signals:
    void chosen(const QString& id); ///< by key, mouse or step()
    void entered();                 ///< Enter: the keyboard goes into the section

protected:
    void paintEvent(QPaintEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;
    bool event(QEvent*) override;

private:
    int widthOf(const Section& section) const;
    QVector<int> widths() const; ///< as there is room for: the longest names are shortened first
    QString at(int x) const;     ///< id; empty beside them
    void say();
    void take(const QString& id);

    QVector<Section> m_sections;
    QString m_current, m_hovered;
};

} // namespace ui
