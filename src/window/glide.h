#pragma once
// Motion: a value on its way from where it is to where it should be.

#include <algorithm>

namespace underfoot {

inline constexpr double glideSeconds = 0.22;

/// Eased from 0 to 1 over 0 to 1: slow at both ends.
inline double eased(double part) {
    const double t = std::clamp(part, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

class Glide {
  public:
    Glide() = default;
    explicit Glide(double value) : from_(value), to_(value) {}

    double at(double now) const { return from_ + (to_ - from_) * eased(part(now)); }
    double goal() const { return to_; }
    bool moving(double now) const { return from_ != to_ && part(now) < 1; }

    /// Heads for a value from where it is now.
    void toward(double value, double now, bool motion) {
        if (value == to_) return;
        from_ = motion ? at(now) : value;
        to_ = value;
        start_ = now;
    }
    void jump(double value) { from_ = to_ = value; }

  private:
    double part(double now) const { return (now - start_) / glideSeconds; }
    double from_ = 0;
    double to_ = 0;
    double start_ = -1e9;
};

}  // namespace underfoot
