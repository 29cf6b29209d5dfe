#pragma once
// Everything in the window but the model itself: takes the pointer, changes the state, makes the drawing
// lists. Needs no display and no OpenGL.

#include <memory>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "window/layout.h"
#include "window/window_state.h"

namespace underfoot {

/// The pointer at the time of a frame, for windows that bring their own.
struct PointerEvents {
    glm::dvec2 at{-1e6, -1e6};  ///< window pixels
    bool left = false, middle = false, right = false;
    double wheel = 0;  ///< notches, away from the person is positive
    bool shift = false;
};

class Interface {
  public:
    Interface();
    ~Interface();
    Interface(const Interface&) = delete;
    Interface& operator=(const Interface&) = delete;

    /// Makes the type for a scale: window pixels per unit of drawing, and frame buffer pixels per window
    /// pixel. True when the type was made anew; what was uploaded of it is then out of date.
    bool prepare(double scale, double bufferScale);

    /// The pointer, the window's size and the time since the frame before.
    void feed(const PointerEvents& events, double width, double height, double seconds);

    /// One frame: lays out, reads the pointer, changes the state, makes the lists.
    void frame(WindowState& state, double now);

    /// True while something needs another frame although nobody touches anything.
    bool restless() const;

    /// Every line of words of the frame and where it stands, for checks that nothing overlaps or is cut off.
    struct Words {
        Box box;
        std::string text;
        bool clipped = false;  ///< stands in a part that scrolls
        bool over = false;     ///< on a sheet that covers what lies below
    };
    const std::vector<Words>& words() const;

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace underfoot
