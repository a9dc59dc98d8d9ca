#pragma once
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
    template <class Field> Field* addRow(const QString& label, Field* field, const QString& unit = {})
    {
        place(label, field, unit);
        return field;
    }
    void addWide(QWidget* widget); ///< over both columns

private:
    void place(const QString& label, QWidget* field, const QString& unit);

    QGridLayout* m_grid;
    int m_labelWidth;
    int m_row = 0;
};

} // namespace ui
