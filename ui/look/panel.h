#pragma once
#include "ui/look/label.h"
#include <QVBoxLayout>
#include <QWidget>

namespace ui {

/// A section: semibold title left, its count or unit right, what it holds, hairline below. No box.
class Panel : public QWidget {
    Q_OBJECT
public:
    explicit Panel(const QString& title = {}, QWidget* parent = nullptr);

    void setTitle(const QString&);
    void setShape(std::optional<Shape>);                      ///< before the title
    void setTrailing(const QString&, Tone = Tone::Secondary); ///< the count or unit
    void addToHeader(QWidget*);                               ///< at the right end, after the trailing text
    void setHairline(bool);                                   ///< on unless told otherwise

    /// Where content goes. Margins 12, 0, 12, 8; rows that fill the width take body()->setContentsMargins(0, 0, 0, 8).
    QVBoxLayout* body() { return m_body; }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    Label* m_title;
    Label* m_trailing;
    ShapeLabel* m_shape;
    class QHBoxLayout* m_header;
    QVBoxLayout* m_body;
    bool m_hairline = true;
};

/// What an empty panel says it will hold.
Label* emptyNote(const QString& sentence, Text size = Text::Body);

} // namespace ui
