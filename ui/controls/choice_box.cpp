#include "ui/controls/choice_box.h"

#include <QHelpEvent>
#include <QSignalBlocker>
#include <QToolTip>
#include <QWheelEvent>

namespace ui {
namespace {

constexpr int besideWords = 34; ///< px that the style takes on both sides of the words

} // namespace

ChoiceBox::ChoiceBox(QWidget* parent) : QComboBox(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    setMinimumContentsLength(6);
    connect(this, &QComboBox::activated, this, [this](int index) { emit chosen(itemData(index).toLongLong()); });
}

void ChoiceBox::setChoices(const QVector<std::pair<qint64, QString>>& choices, qint64 current)
{
    const QSignalBlocker quiet(this);
    bool same = choices.size() == count();
    for (int i = 0; same && i < count(); ++i)
        same = itemData(i).toLongLong() == choices[i].first && itemText(i) == choices[i].second;
    if (!same) { // an open list is left alone as long as it holds the same
        clear();
        for (const auto& [number, words] : choices)
            addItem(words, number);
    }
    setCurrentIndex(findData(current));
}

bool ChoiceBox::event(QEvent* event)
{
    if (event->type() == QEvent::ToolTip && fontMetrics().horizontalAdvance(currentText()) > width() - besideWords) {
        const QString all = toolTip().isEmpty() ? currentText() : currentText() + QLatin1Char('\n') + toolTip();
        QToolTip::showText(static_cast<QHelpEvent*>(event)->globalPos(), all, this);
        return true;
    }
    return QComboBox::event(event);
}

void ChoiceBox::wheelEvent(QWheelEvent* event)
{
    if (hasFocus())
        QComboBox::wheelEvent(event);
    else
        event->ignore();
}

} // namespace ui
