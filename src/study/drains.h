#pragma once
// The plan's pipes, leg by leg: how they fall, what lies over them, what they cut into, and whether a spike
// of edging reaches one. A pipe is a straight round tube between points; its invert is the inside bottom, and
// its diameter counts as its outside too.

#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

struct PipeLeg {
    int leg = 0;
    glm::dvec2 from{0, 0}, to{0, 0};  ///< local
    double invertFrom = 0, invertTo = 0;
    double length = 0;  ///< in plan
    double fall = 0;    ///< drop over length; negative rises
    /// Least height of the surface over the top of the pipe, inside the outlines; nothing outside them.
    std::optional<double> leastCover;
    glm::dvec2 leastCoverAt{0, 0};
    std::vector<LayerId> cuts;  ///< layers of build-ups that the pipe reaches into, top first
};

struct SpikeNearPipe {
    int spike = -1;
    int leg = 0;
    glm::dvec2 at{0, 0};
    double clear = 0;  ///< between their outsides; 0 or less: the spike reaches the pipe
};

struct PipeReport {
    int run = -1;
    std::vector<PipeLeg> legs;
    bool fallsBack = false;  ///< some legs fall one way and some the other
    bool fromLast = false;   ///< the outlet is the first point: it lies lower than the last
    double outlet = 0;       ///< invert of the lower end
    glm::dvec2 outletAt{0, 0};
    std::vector<SpikeNearPipe> spikes;  ///< those within 150 mm of the pipe, the nearest first
};

/// One for each of the plan's pipes with two points or more.
std::vector<PipeReport> pipeReports(const Model& model);

}  // namespace underfoot
