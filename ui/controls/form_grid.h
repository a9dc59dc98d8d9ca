#pragma once
#include <QScrollArea>
#include <QWidget>

class QGridLayout;

namespace ui {

/// Labels at the left, fields at the right, headings between. Labels wrap, fields take the rest of the width.
class FormGrid : public QWidget {
    Q_OBJECT
public:
    explicit FormGrid(int labelWidth, QWidget* parent = nullptr);
    void addHeading(const QString& text);
    /// `label` becomes the field's name for screen readers; `unit` stands after the field.
    void addRow(const QString& label, QWidget* field, const QString& unit = {});
    void addWide(QWidget* widget); ///< over both columns

private:
    QGridLayout* m_grid;
    int m_labelWidth;
    int m_row = 0;
};

/// `content` in a frameless area that scrolls up and down only, by wheel and bar; keys pass through it.
QScrollArea* scrolled(QWidget* content);
/// Gives a page or a column of panels the colour that shows in the 1 px gaps between panels.
void showGutters(QWidget& widget);
/// Gives a bar between gutters the colour of panels.
void showPanel(QWidget& widget);

} // namespace ui
