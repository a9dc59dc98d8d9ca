#include "ui/publish/moved_list.h"
#include "ui/controls/layouts.h"

#include <algorithm>
#include <ranges>

namespace ui {
namespace {

constexpr std::size_t mostCauses = 3, mostFigures = 5;

QString words(const std::string& utf8) { return QString::fromStdString(utf8); }

} // namespace

MovedList::MovedList(QWidget* parent) : Panel(tr("What moved"), parent)
{
    setObjectName(QStringLiteral("whatMoved"));
    setHairline(false);
    body()->setSpacing(2);
    hide();
}

void MovedList::clear()
{
    emptyOut(*body());
    hide();
}

void MovedList::note(const QString& sentence)
{
    body()->addWidget(selectable(wrapping(sentence, Text::Caption, Tone::Secondary)));
}

void MovedList::add(const report::Moved& moved, bool figure)
{
    body()->addWidget(
        wrapping(words(moved.what), Text::State, Tone::Primary, figure ? QFont::DemiBold : QFont::Normal));
    if (!moved.was.empty())
        note(tr("was %1").arg(words(moved.was)));
    body()->addWidget(wrapping(moved.is.empty() ? tr("is gone") : tr("is %1").arg(words(moved.is)), Text::State));
}

void MovedList::show(const report::Changes& changes, bool published)
{
    clear();
    if (changes.empty())
        return;
    setTrailing(published ? tr("when published last") : tr("not published yet"),
                published ? Tone::Secondary : Tone::Attention);
    std::vector<report::Moved> told;
    QStringList barely;
    std::size_t shown = 0, left = 0;
    for (const report::MovedFigure& figure : changes.figures) {
        if (!figure.barely && shown >= mostFigures) {
            ++left;
            continue;
        }
        shown += !figure.barely;
        if (figure.barely)
            barely << words(figure.what);
        if (figure.barely && &figure != &changes.figures.front())
            continue;
        // Several figures often rest on the same.
        if (!std::ranges::equal(figure.because | std::views::take(mostCauses), told | std::views::take(mostCauses))) {
            told = figure.because;
            for (std::size_t i = 0; i < std::min(told.size(), mostCauses); ++i)
                note(tr("Because %1: %2.").arg(words(told[i].what), words(wasAndIs(told[i]))));
            if (told.size() > mostCauses)
                note(tr("And %1 more.").arg(told.size() - mostCauses));
        }
        if (!figure.barely)
            add(figure, true);
    }
    if (left > 0)
        note(published ? tr("And %1 figures more, all in changes.txt.").arg(left)
                       : tr("And %1 figures more.").arg(left));
    if (!barely.isEmpty())
        note(tr("Moved by less than is shown: %1.").arg(barely.join(QStringLiteral(", "))));
    for (std::size_t i = 0; i < std::min(changes.further.size(), mostCauses); ++i)
        add(changes.further[i], false);
    if (changes.further.size() > mostCauses)
        note(tr("And %1 more.").arg(changes.further.size() - mostCauses));
    QWidget::show();
}

} // namespace ui
