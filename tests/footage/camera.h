#pragma once
#include "tests/footage/bench_scene.h"
#include "tests/footage/frame.h"
#include "tests/footage/timeline.h"
#include <functional>

namespace footage {

/// Turns the scene into pictures: gathers light over each row's exposure, encodes it for display, adds noise.
class Camera {
public:
    Camera(const Spec& spec, Timeline timeline, std::vector<double> captureTimes);

    /// Picture `captureIndex` of the grid. `frame` is resized where needed. No barcode.
    void expose(int captureIndex, Frame& frame) const;

    /// Noise-free luma means of the regions, 0..1. For the bench scene only.
    struct Meter {
        double lamp = 0, screen = 0, mirror = 0; ///< mirror: 0 without one
    };
    Meter meter(int captureIndex) const;
    Meter restMeter() const;                         ///< lamp out, panel at rest
    Meter fullMeter() const;                         ///< lamp lit, panel bright
    double rowTime(int captureIndex, int row) const; ///< start of exposure
    double exposureTime() const { return m_exposure; }
    const BenchScene& bench() const { return m_bench; }

private:
    struct Coded {
        float y, cb, cr; ///< 0..1, -0.5..0.5
    };
    using Level = std::function<double(const LitPixel&)>;

    Coded encode(Colour light) const;
    void store(const LitPixel& pixel, double level, Frame& frame) const;
    double lampLevel(int captureIndex, int row) const;
    double panelLevel(int captureIndex, const LitPixel& pixel, double lag) const;
    double dashLevel(int captureIndex, const LitPixel& pixel) const;
    double regionMean(const Rect& region, const std::vector<LitPixel>& lit, const Level& level) const;
    /// Of the meter, `panel` being told how late its screen is.
    Meter regionMeans(const Level& lamp, const std::function<double(const LitPixel&, double lag)>& panel) const;
    void exposeBench(int captureIndex, Frame& frame) const;
    void exposePanel(int captureIndex, const std::vector<LitPixel>& panel, double lag, Frame& frame) const;
    void exposeMovement(int captureIndex, Frame& frame) const;
    void exposePattern(int captureIndex, Frame& frame) const;
    void exposePulsedLight(int captureIndex, Frame& frame) const;
    void addNoise(int captureIndex, Frame& frame) const;

    Spec m_spec;
    Timeline m_timeline;
    std::vector<double> m_times;
    double m_exposure;
    std::vector<float> m_curve; ///< linear light to display code
    std::vector<float> m_noise; ///< drawn once, standard deviation 1
    BenchScene m_bench;
    Frame m_still; ///< bench with everything at rest
};

} // namespace footage
