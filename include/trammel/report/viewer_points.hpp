#pragma once

/// The scanned points as a viewer turns them: thinned evenly to a number that is stated, whole
/// numbers in place of mm.

#include <Eigen/Core>
#include <cstdint>
#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

struct ViewerPoints {
  Eigen::Vector3d origin_mm = Eigen::Vector3d::Zero();  ///< of place (0, 0, 0), design frame
  double place_step_mm = 1.0;                           ///< one unit of a place
  double reading_step_mm = 1.0;                         ///< one unit of a reading
  std::vector<std::uint16_t> places;                    ///< 3 a point: x, y, z
  /// 3 a point, 127 a unit: the outward normal of the design's face that it was measured to; of one
  /// that was set aside 0 0 0: it is seen from all sides.
  std::vector<std::int8_t> normals;
  /// One a point; of one that was set aside `set_aside_reading` of what became of it.
  std::vector<std::int16_t> readings;
  std::vector<std::uint16_t> regions;  ///< one a point: its cell's region as shown, 0 in none
  std::vector<std::uint16_t> bands;    ///< one a point: 0 the plan's, 1 + its zone's index
  std::size_t points_of_scan = 0;      ///< before any were left out
  std::size_t far_off = 0;      ///< of these, farther from the design's box than half its diagonal
  std::size_t set_aside = 0;    ///< of the points here, those without a reading
  double cube_mm = 0.0;         ///< one point was kept of each cube with that edge; 0: all were
  double apart_mm = 1.0;        ///< about how far measured neighbours stand apart
  double place_error_mm = 0.0;  ///< no point is shown farther from where it was scanned
  double reading_error_mm = 0.0;  ///< no reading is shown farther from what it was

  [[nodiscard]] std::size_t size() const { return readings.size(); }
};

struct ViewerPointsSettings {
  std::size_t most_points = 70'000;  ///< some 1.4 MB of the page
};

/// Stands in place of the reading of a point that has none; below every real one.
[[nodiscard]] std::int16_t set_aside_reading(Reading reading);
/// "too far off", "stray" …: what became of a point without a reading.
[[nodiscard]] std::string set_aside_words(Reading reading);

/// Points far off are left out, then of each cube of space the point nearest to its middle is kept,
/// with cubes so large that few enough are left. Every kind of reading counts alike, so that what
/// was set aside is seen as densely as what was measured.
[[nodiscard]] ViewerPoints viewer_points(const Inspection& inspection,
                                         const ViewerPointsSettings& settings = {});

/// "The scan is shown by 70,000 of its 120,345 points …"
[[nodiscard]] std::string shown_words(const ViewerPoints& points);

}  // namespace trammel
