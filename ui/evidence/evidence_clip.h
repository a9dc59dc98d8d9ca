#pragma once
#include "ui/evidence/trial_evidence.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/media/decode/frame_reader.h"
#include "core/media/encode/flash_meter.h"
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_scene.h"

namespace ui {

/// Footage of a trial from before its press to after its response, slowed so that each camera frame is a picture, with
/// frame counter, time since the press, and signs at lamp and screen once the event is there. Two trials stand side by
/// side, or above each other where the picture is tall, aligned at the press and at the step of the faster camera.
class EvidenceClip {
public:
    static constexpr int rate = 30; ///< pictures a second

    /// One or two trials whose footage is there. Two need settled clocks. Throws core::Error (NotFound, Refused,
    /// Unreadable), core::Cancelled.
    EvidenceClip(std::vector<TrialEvidence> trials, const ChartStyle& style, const std::stop_token& stop = {});

    int pictureCount() const { return m_pictures; }
    /// The camera frame of trial `index` in a picture.
    timing::FrameNumber frameAt(std::size_t index, int picture) const;
    /// Quick for pictures in ascending order. Throws core::Error, core::Cancelled.
    ChartScene sceneAt(int picture, const std::stop_token& stop = {});

private:
    struct Panel {
        TrialEvidence trial;
        std::unique_ptr<media::FrameReader> reader;
        std::vector<timing::FrameNumber> frames; ///< of each picture
        timing::FrameNumber shown{-1};
        QImage image;
    };
    void addPanel(ChartScene& scene, Panel& panel, int picture, const QRectF& room, const std::stop_token& stop);

    std::vector<Panel> m_panels;
    ChartStyle m_style;
    double m_step = 0; ///< seconds from picture to picture; 0: no clock is settled
    int m_pictures = 0;
};

/// Writes it as H.264, unless it flashes too much and `flashing` is false: there is no file then. Progress counts
/// pictures. Throws core::Error (WriteFailed, ...), core::Cancelled; there is no file then either.
media::Flashing writeClip(const std::filesystem::path& file, EvidenceClip& clip, bool flashing,
                          const std::stop_token& stop = {}, const media::Progress& progress = {});

} // namespace ui
