#pragma once
#include <QComboBox>

namespace ui {

/// Combo box that a turning wheel scrolls past instead of changing, unless it has the keyboard.
class ChoiceBox : public QComboBox {
    Q_OBJECT
public:
    explicit ChoiceBox(QWidget* parent = nullptr);
    /// Entries with a number each; the one of `current` is shown, none when it isn't among them. Emits nothing.
    void setChoices(const QVector<std::pair<qint64, QString>>& choices, qint64 current);

signals:
    void chosen(qint64 number); ///< by the analyst only

protected:
    bool event(QEvent*) override;
    void wheelEvent(QWheelEvent*) override;
};

} // namespace ui
