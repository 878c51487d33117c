#pragma once

/// Places and readings as whole numbers, for what a viewer turns.

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "trammel/model/mesh.hpp"
#include "trammel/report/viewer_mesh.hpp"

namespace trammel {

using Place = std::array<std::uint16_t, 3>;

constexpr double kFinestGrid = 65535.0;
constexpr double kReadingUnits = 32000.0;  ///< what lies beyond stands for a word, not a number

/// Cubes over a box; the longest side has `units` of them.
class PlaceGrid {
 public:
  PlaceGrid(const Box& box, double units) : low_(box.low_mm) {
    step_mm_ = std::max(1e-9, box.size_mm().maxCoeff()) / units;
  }
  [[nodiscard]] double step_mm() const { return step_mm_; }
  /// No place lies farther from its point.
  [[nodiscard]] double error_mm() const { return 0.5 * std::sqrt(3.0) * step_mm_; }
  [[nodiscard]] Place place(const Eigen::Vector3d& point_mm) const {
    Place place{};
    for (Eigen::Index k = 0; k < 3; ++k) {
      const double units = std::clamp((point_mm[k] - low_[k]) / step_mm_, 0.0, kFinestGrid);
      place[static_cast<std::size_t>(k)] = static_cast<std::uint16_t>(std::lround(units));
    }
    return place;
  }

 private:
  Eigen::Vector3d low_;
  double step_mm_ = 1.0;
};

[[nodiscard]] inline std::int16_t reading_units(double deviation_mm, double step_mm) {
  if (!std::isfinite(deviation_mm)) return kUnseenReading;
  return static_cast<std::int16_t>(
      std::lround(std::clamp(deviation_mm / step_mm, -kReadingUnits, kReadingUnits)));
}

}  // namespace trammel
