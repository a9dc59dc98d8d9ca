#include "core/timing/calibration.h"

namespace timing {

std::vector<std::string> Calibration::warnings() const
{
    std::vector<std::string> list;
    if (!fit.refused.empty())
        list.push_back(fit.refused);
    for (const FitRemark& remark : fit.remarks)
        list.push_back(remark.sentence);
    if (isPattern(repeats.verdict) || repeats.verdict == PictureRepeats::Verdict::Irregular)
        list.push_back(repeats.sentence(fit.rate));
    return list;
}

Calibration calibrate(const CalibrationTraces& traces, const ReferenceLamp& lamp, const std::vector<Gap>& gaps,
                      const std::vector<RateEvidence>& others)
{
    Calibration found;
    found.lamp = findLampEdges(traces.lamp);
    found.repeats = findRepeats(traces.changes);
    if (!isPattern(found.repeats.verdict))
        if (const PictureRepeats atEdges = findRepeatsAtEdges(traces.lamp, found.lamp); isPattern(atEdges.verdict))
            found.repeats = atEdges;
    const std::vector<LampEdge> edges = found.lamp.edges;
    return calibrate(std::move(found), edges, lamp, gaps, others);
}

Calibration calibrate(Calibration found, const std::vector<LampEdge>& kept, const ReferenceLamp& lamp,
                      const std::vector<Gap>& gaps, const std::vector<RateEvidence>& others)
{
    FitOptions options;
    options.gaps = gaps;
    options.framesPerPicture = found.repeats.framesPerPicture();
    options.allPicturesAdd = found.repeats.verdict == PictureRepeats::Verdict::AllAdd;
    options.blended = found.repeats.verdict == PictureRepeats::Verdict::Blended;
    options.otherEvidence = others;
    found.fit = fitReference(kept, lamp, options);
    if (!found.lamp.problem.empty())
        found.fit.refused = found.lamp.problem;
    return found;
}

} // namespace timing
