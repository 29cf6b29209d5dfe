#pragma once
// The interactive program: one plan in one window.

#include <filesystem>
#include <optional>
#include <string>

#include "view/scene_view.h"

namespace underfoot {

/// What openWindow answers with; the same numbers as the command line's.
enum class WindowExit {
    Fine = 0,
    PlanWrong = 3,    ///< only when a picture was asked for: it shows the sheet with the faults
    CannotWrite = 4,  ///< the picture could not be written
    NoGraphics = 5,   ///< no display, or no OpenGL 3.3 on it
};

struct WindowOptions {
    int width = 1280;  ///< in the screen's own measure, before `scale`
    int height = 800;
    double scale =
        0;  ///< pixels per unit of drawing; 0 asks the screen. With 2, 1280 x 800 opens 2560 x 1600 pixels
    Theme theme = Theme::Light;
    bool motion = true;       ///< false: everything jumps to its place
    bool clientView = false;  ///< start with nothing but the model and large labels

    /// What to show at first; for pictures. A layer or finding that is not there is left out.
    std::optional<double> station;    ///< metres
    double peel = 0;                  ///< 0 to 1, of the whole way
    double liftApart = 0;             ///< 0 to 1
    std::string thicknessLayer;       ///< name of a layer to colour by its thickness
    int finding = -1;                 ///< open this one, counted from 0
    int question = 0;                 ///< open this one, counted from 1 in their order; 0: none
    int row = 0;                      ///< of its answer choose this one, counted from 1
    double raise = 0;                 ///< metres that the finish under attention is raised
    std::optional<glm::dvec2> place;  ///< plan point under attention
    bool shots = false;               ///< show the shots; of a place, choose and raise the one nearest to it

    /// Not empty: once the plan is there, draw `frames` frames, write the last as PNG and leave.
    std::filesystem::path screenshotFile;
    int frames = 3;
};

/// Opens a plan and stays until the window is closed. The file is watched and read again when it changes.
/// Faults in it are shown on a sheet while the last good model stays. What prevents opening is told on
/// standard error as one sentence. Returns a WindowExit as a number.
int openWindow(const std::filesystem::path& planFile, const WindowOptions& options = {});

}  // namespace underfoot
