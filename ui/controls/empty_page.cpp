#include "ui/controls/empty_page.h"
#include "ui/look/key_cap.h"

#include <QHBoxLayout>

namespace ui {
namespace {

constexpr int wordsWidth = 560;

} // namespace

EmptyPage::EmptyPage(QWidget* parent)
    : Panel({}, parent), m_heading(new Label({}, Text::Heading, Tone::Primary, QFont::DemiBold)),
      m_words(emptyNote({}, Text::Emphasis)), m_action(new KeyButton({}, {}, KeyButton::Kind::Primary))
{
    setHairline(false);
    m_words->setFixedWidth(wordsWidth);
    auto* column = new QVBoxLayout;
    column->setSpacing(12);
    column->addWidget(m_heading, 0, Qt::AlignLeft);
    column->addWidget(m_words);
    column->addWidget(m_action, 0, Qt::AlignLeft);
    auto* row = new QHBoxLayout;
    row->addStretch(1);
    row->addLayout(column, 2);
    row->addStretch(1);
    body()->addStretch(1);
    body()->addLayout(row);
    body()->addStretch(2);
}

void EmptyPage::say(const QString& title, const QString& words, const QString& action)
{
    m_heading->setText(title);
    m_words->setText(words);
    if (!words.isEmpty())
        m_words->setFixedHeight(m_words->heightForWidth(wordsWidth)); // no line is lost in the stretches
    m_action->setText(action);
    m_action->updateGeometry();
    m_action->setVisible(!action.isEmpty());
}

} // namespace ui
