#include "ui/clock/tags_panel.h"
#include "core/timing/tag_reading.h"
#include "ui/clock/clock_captures.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

#include <QHBoxLayout>
#include <algorithm>

namespace ui {
namespace {

constexpr int named = 3; ///< captures told by name

QString wordOf(timing::TagReading::Says says)
{
    switch (says) {
    case timing::TagReading::Says::CaptureRate: return TagsPanel::tr("evidence");
    case timing::TagReading::Says::Nothing: return TagsPanel::tr("left alone");
    case timing::TagReading::Says::NoRate: break;
    }
    return TagsPanel::tr("no capture rate");
}

} // namespace

TagsPanel::TagsPanel(QWidget* parent)
    : Panel(tr("What the files say"), parent), m_rows(new QVBoxLayout),
      m_none(emptyNote(tr(
          "Nothing in these captures' metadata speaks of a rate, or they were added before such entries were kept.")))
{
    setHairline(false);
    m_rows->setSpacing(10);
    body()->addWidget(m_none);
    body()->addLayout(m_rows);
}

void TagsPanel::show(const session::Document& document, session::ClockId clock)
{
    struct Found {
        session::RateTag tag;
        QStringList captures;
    };
    std::vector<Found> found;
    const Captures on = capturesOn(document, clock);
    const qsizetype captures = std::ssize(on);
    for (const session::Capture* capture : on)
        for (const session::RateTag& tag : capture->rateTags) {
            auto same = std::ranges::find(found, tag, &Found::tag);
            if (same == found.end())
                same = found.insert(same, {tag, {}});
            same->captures << QString::fromStdString(capture->name);
        }
    std::vector<Entry> entries;
    m_damaged = 0;
    for (const Found& each : found) {
        const qsizetype count = each.captures.size();
        entries.push_back({each.tag, captures > 1 && count == captures ? tr("in all %1 captures").arg(captures)
                                     : count <= named ? tr("in %1").arg(each.captures.join(QStringLiteral(", ")))
                                                      : tr("in %1 of %2 captures").arg(count).arg(captures)});
        const auto reading = timing::readTag(each.tag.key, each.tag.value);
        m_damaged += reading && reading->says == timing::TagReading::Says::Nothing;
    }
    setTrailing(entries.empty()
                    ? QString()
                    : counted(qint64(entries.size()), tr("entry")).replace(QStringLiteral("entrys"), tr("entries")));
    m_none->setVisible(entries.empty());
    if (entries == m_shown)
        return;
    m_shown = std::move(entries);
    emptyOut(*m_rows);
    for (const Entry& entry : m_shown)
        add(entry);
}

void TagsPanel::add(const Entry& entry)
{
    const auto reading = timing::readTag(entry.tag.key, entry.tag.value);
    if (!reading)
        return; // of a session that another version wrote
    const bool damaged = reading->says == timing::TagReading::Says::Nothing;
    auto* row = new QWidget;
    auto* column = columnIn(row, 1);
    auto* head = new QHBoxLayout;
    head->setSpacing(8);
    auto* key = new Label(QString::fromStdString(reading->key), Text::State, Tone::Primary, QFont::DemiBold);
    key->setElided(Qt::ElideMiddle);
    key->setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Preferred);
    auto* value = new Label(QString::fromStdString(reading->value), Text::State, Tone::Primary);
    value->setElided(Qt::ElideRight);
    value->setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Preferred);
    head->addWidget(key);
    head->addWidget(value);
    head->addStretch(1);
    if (damaged)
        head->addWidget(new ShapeLabel(Shape::Warning, wordOf(reading->says), Text::State, Tone::Attention));
    else
        head->addWidget(
            new Label(wordOf(reading->says), Text::State, reading->evidence ? Tone::Primary : Tone::Secondary));
    column->addLayout(head);
    QString meaning = QString::fromStdString(reading->meaning);
    meaning.front() = meaning.front().toUpper();
    column->addWidget(wrapping(tr("%1. %2.").arg(meaning, entry.captures.left(1).toUpper() + entry.captures.mid(1)),
                               Text::State, Tone::Secondary));
    m_rows->addWidget(row);
}

} // namespace ui
