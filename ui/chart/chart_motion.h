#pragma once
#include "ui/chart/chart_scene.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <filesystem>
#include <functional>
#include <stop_token>

namespace ui {

enum class Easing { Even, Gentle }; ///< Gentle: starts and stops slowly

struct MotionSettings {
    double seconds = 10; ///< in all, 1 to 120
    int rate = 60;       ///< frames a second, 1 to 120
    Easing easing = Easing::Gentle;
};

using MotionProgress = std::function<void(int done, int of)>; ///< pictures

/// A chart that builds itself: for one configuration after the other its name comes, the bar grows, the dots land one a
/// trial, the interval closes, the figure comes; then the whole chart stands for a fifth of the time. Every brightness
/// changes once and in one direction, so nothing flashes. Pictures depend on nothing but scene, settings and number.
class ChartMotion {
public:
    /// `order`: configurations as the script names them; those it leaves out come last. The baseline's line comes with
    /// its configuration.
    ChartMotion(ChartScene scene, const std::vector<session::ConfigurationId>& order, session::ConfigurationId baseline,
                const MotionSettings& settings);

    int frameCount() const { return m_frames; }
    /// Precondition: 0 <= `frame` < frameCount().
    ChartScene sceneAt(int frame) const;
    /// sceneAt() painted as chartImage() does; quicker for frames in ascending order.
    const QImage& imageAt(int frame);

    /// The whole of it as a movie: H.264, or ProRes 4444 with alpha where nothing lies behind the chart. Precondition:
    /// the scene's pixels are even in width and height. Throws core::Error (WriteFailed, Unsupported), core::Cancelled;
    /// there is no file then.
    void write(const std::filesystem::path& file, const std::stop_token& stop, const MotionProgress& progress = {});
    /// The same pictures as PNG each, with straight alpha where nothing lies behind the chart. Equal scenes and
    /// settings give equal bytes. Throws core::Error (Unsupported) where they take more than `mostBytes` together,
    /// core::Cancelled.
    std::vector<QByteArray> pictures(std::int64_t mostBytes, const std::stop_token& stop,
                                     const MotionProgress& progress = {});

private:
    void eachImage(const std::stop_token& stop, const MotionProgress& progress,
                   const std::function<void(const QImage&)>& take);
    double progressOf(int lane, int frame) const;                      ///< 0: not begun, 1: done
    bool moved(ChartPiece& piece, std::size_t index, int frame) const; ///< false: not there yet

    ChartScene m_scene;
    MotionSettings m_settings;
    int m_frames = 0, m_baselineLane = -1;
    std::vector<int> m_turn;       ///< of each lane, when it comes
    std::vector<double> m_landing; ///< of each piece that is a dot or its ring: its share of the dots' time, 0 to 1
    std::vector<double> m_centre;  ///< of each piece of an interval: x that it closes on
    QImage m_settled, m_image;     ///< what has come to rest; the frame
    QRect m_painted;               ///< of the frame: what hasn't come to rest lies within
    int m_settledLanes = -1;       ///< lanes in `m_settled`
};

} // namespace ui
