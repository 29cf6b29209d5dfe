#pragma once
// A person's hand on the window's parts, without a window.

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "small_model.h"
#include "window/interface.h"

namespace underfoot::test {

/// A window that exists only here: a person's hand, frame by frame.
class Hand {
  public:
    explicit Hand(double width = 1280, double height = 800, double scale = 1)
        : Hand(smallReading(), width, height, scale) {}
    explicit Hand(Loaded reading, double width = 1280, double height = 800, double scale = 1)
        : width_(width), height_(height) {
        interface_.prepare(scale, 1);
        state.stage = Stage::Waiting;
        state.motion = false;
        frame();
        receive(state, std::move(reading), now_);
        frame();
        frame();
    }

    void frame() {
        interface_.feed(events, width_, height_, 1 / 60.0);
        interface_.frame(state, now_);
        events.wheel = 0;
        now_ += 1 / 60.0;
    }
    void moveTo(glm::dvec2 at) {
        events.at = at;
        frame();
        frame();
    }
    void press() { events.left = true, frame(); }
    void release() { events.left = false, frame(), frame(); }
    void click(glm::dvec2 at) {
        moveTo(at);
        press();
        release();
    }
    void drag(glm::dvec2 from, glm::dvec2 to) {
        moveTo(from);
        press();
        moveTo(0.5 * (from + to));
        moveTo(to);
        release();
    }
    void scroll(glm::dvec2 at, double notches) {
        moveTo(at);
        events.wheel = notches;
        frame();
        frame();
    }
    /// The middle of a line of words; fails when they are not on the window.
    glm::dvec2 find(const std::string& text) const {
        for (const Interface::Words& words : interface_.words())
            if (words.text == text) return words.box.middle();
        ADD_FAILURE() << "not on the window: " << text;
        return {-1, -1};
    }
    bool shows(const std::string& text) const {
        return std::any_of(words().begin(), words().end(), [&](const auto& w) { return w.text == text; });
    }
    bool showsStart(const std::string& text) const {
        return std::any_of(words().begin(), words().end(),
                           [&](const auto& w) { return w.text.starts_with(text); });
    }
    const std::vector<Interface::Words>& words() const { return interface_.words(); }
    glm::dvec2 onScene() const {
        const Insets& free = state.frame.scene;
        return {0.5 * (free.left + width_ - free.right), 0.5 * (free.top + height_ - free.bottom)};
    }

    WindowState state;
    PointerEvents events;
    Interface interface_;

  private:
    double width_, height_;
    double now_ = 1;
};

}  // namespace underfoot::test
