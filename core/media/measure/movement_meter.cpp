#include "core/media/measure/movement_meter.h"
#include "core/media/libav/av_handles.h"
#include "core/media/picture/component.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace media {
namespace {

constexpr int gridColumns = 12, gridRows = 8;
constexpr int enoughRows = 180;
constexpr int leastCell = 4; ///< samples a side

/// Luma of a row in 16 bits; of RGB by the weights of ITU-R BT.709-6, item 3.2.
class RowReader {
public:
    explicit RowReader(const AVFrame& frame)
        : m_frame(frame), m_format(av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format)))
    {}

    bool can() const
    {
        return m_format && !(m_format->flags & (AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_PAL));
    }
    double scale() const { return 255.0 / ((1 << m_format->comp[0].depth) - 1); }

    void read(int y, std::uint16_t* row)
    {
        readSamples(row, m_frame, *m_format, 0, 0, y, m_frame.width);
        if (!(m_format->flags & AV_PIX_FMT_FLAG_RGB))
            return;
        m_green.resize(m_frame.width);
        m_blue.resize(m_green.size());
        readSamples(m_green.data(), m_frame, *m_format, 1, 0, y, m_frame.width);
        readSamples(m_blue.data(), m_frame, *m_format, 2, 0, y, m_frame.width);
        for (std::size_t x = 0; x < m_green.size(); ++x)
            row[x] =
                static_cast<std::uint16_t>((2126u * row[x] + 7152u * m_green[x] + 722u * m_blue[x] + 5000) / 10000);
    }

private:
    const AVFrame& m_frame;
    const AVPixFmtDescriptor* m_format;
    std::vector<std::uint16_t> m_green, m_blue;
};

timing::Coding codingOf(const AVFrame& frame)
{
    switch (frame.pict_type) {
    case AV_PICTURE_TYPE_I:
    case AV_PICTURE_TYPE_SI:
    case AV_PICTURE_TYPE_BI: return timing::Coding::Alone;
    case AV_PICTURE_TYPE_B: return timing::Coding::Between;
    case AV_PICTURE_TYPE_NONE: // pictures of a folder and of codecs that know nothing else
        return timing::Coding::Alone;
    default: return timing::Coding::Forward;
    }
}

/// Sums of one row of a cell, in integers so that the loops can be vectorised. A row of a cell is never longer than a
/// picture may be wide.
struct RowSums {
    std::uint64_t change = 0, bend = 0;
    std::int64_t light = 0;
};

RowSums sumsOf(const std::uint16_t* now, const std::uint16_t* before, const std::uint16_t* earlier, int count)
{
    constexpr int run = 4096; // 4096 * 4 * 65535 fits 32 bits
    RowSums sums;
    for (int from = 0; from < count; from += run) {
        const int to = std::min(count, from + run);
        std::uint32_t change = 0, bend = 0;
        std::int32_t light = 0;
        for (int i = from; i < to; ++i) {
            const int step = int{now[i]} - int{before[i]};
            change += static_cast<std::uint32_t>(std::abs(step));
            light += step;
            bend += static_cast<std::uint32_t>(std::abs(int{before[i]} - int{earlier[i]} - step));
        }
        sums.change += change;
        sums.bend += bend;
        sums.light += light;
    }
    return sums;
}

} // namespace

bool MovementMeter::alike(const Samples& a, const Samples& b) const
{
    return a.columns == b.columns && a.rows == b.rows && a.step == b.step && a.format == b.format;
}

void MovementMeter::add(timing::FrameNumber n, const Picture& picture)
{
    if (n.value != m_next)
        m_known = 0;
    m_next = n.value + 1;
    if (n.value >= std::ssize(m_changes))
        m_changes.resize(static_cast<std::size_t>(n.value) + 1);
    timing::FrameChange& found = m_changes[n.value];

    const AVFrame& frame = picture.native();
    RowReader reader(frame);
    if (!reader.can() || frame.width < gridColumns * leastCell || frame.height < gridRows * leastCell) {
        m_known = 0;
        return;
    }
    std::rotate(m_last.begin(), m_last.end() - 1, m_last.end());
    Samples& now = m_last[0];
    now.columns = frame.width;
    now.step = std::max(1, frame.height / enoughRows);
    now.rows = (frame.height + now.step - 1) / now.step;
    now.format = picture.pixelFormat();
    now.luma.resize(static_cast<std::size_t>(now.columns) * static_cast<std::size_t>(now.rows));
    for (int r = 0; r < now.rows; ++r)
        reader.read(r * now.step,
                    now.luma.data() + static_cast<std::size_t>(r) * static_cast<std::size_t>(now.columns));
    if (m_known > 0 && !alike(now, m_last[1]))
        m_known = 0;
    m_known = std::min(3, m_known + 1);

    if (m_known < 2)
        return; // what is known of it from an earlier pass stays
    found.known = true;
    found.bendKnown = m_known >= 3;
    found.coding = codingOf(frame);
    const Samples &before = m_last[1], &earlier = found.bendKnown ? m_last[2] : m_last[1];
    found.cells.assign(gridColumns * gridRows, {});
    for (int gridRow = 0; gridRow < gridRows; ++gridRow) {
        const int top = now.rows * gridRow / gridRows, bottom = now.rows * (gridRow + 1) / gridRows;
        for (int gridColumn = 0; gridColumn < gridColumns; ++gridColumn) {
            const int left = now.columns * gridColumn / gridColumns,
                      right = now.columns * (gridColumn + 1) / gridColumns;
            RowSums sums;
            for (int r = top; r < bottom; ++r) {
                const std::size_t at = static_cast<std::size_t>(r) * static_cast<std::size_t>(now.columns)
                                       + static_cast<std::size_t>(left);
                const RowSums row =
                    sumsOf(now.luma.data() + at, before.luma.data() + at, earlier.luma.data() + at, right - left);
                sums.change += row.change;
                sums.bend += row.bend;
                sums.light += row.light;
            }
            const double scale = reader.scale() / (static_cast<double>(bottom - top) * (right - left));
            found.cells[gridRow * gridColumns + gridColumn] = {
                static_cast<float>(static_cast<double>(sums.change) * scale),
                static_cast<float>(static_cast<double>(sums.light) * scale),
                static_cast<float>(static_cast<double>(sums.bend) * scale / 2)};
        }
    }
}

std::vector<timing::FrameChange> MovementMeter::take(const Footage& footage)
{
    std::vector<timing::FrameChange> changes = std::exchange(m_changes, {});
    changes.resize(footage.frames.size());
    for (std::size_t k = 1; k < changes.size(); ++k)
        changes[k].identical =
            changes[k].known && footage.frames[k].hash != 0 && footage.frames[k].hash == footage.frames[k - 1].hash;
    for (const Doubt& doubt : footage.doubts)
        for (std::int64_t k = std::max<std::int64_t>(doubt.first.value, 0);
             k <= doubt.last.value + 2 && k < std::ssize(changes); ++k) {
            timing::FrameChange& change = changes[k];
            if (k <= doubt.last.value + 1)
                change.known = false;
            change.bendKnown = false;
        }
    return changes;
}

} // namespace media
