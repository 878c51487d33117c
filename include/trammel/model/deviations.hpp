#pragma once

/// How far every scanned point stands proud of or shy of the design.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

namespace trammel {

/// What became of a scan point. Only Measured and Inside carry a distance.
enum class Reading : std::uint8_t {
  Measured,    ///< lies opposite a design face that looks the same way
  Inside,      ///< inside the design's material, facing no near face: material is missing here
  TooFar,      ///< farther than the reach: bench, clamp, strays
  Beside,      ///< near the design, but of no face of it: a surface that only touches the part
  Stray,       ///< a large distance that no neighbour shares, or a point of no scanned surface
  BorderEdge,  ///< its foot is on the border of an open design: the sign cannot be known
};

/// All of length #P; slot i belongs to scan point i. Absence is NaN and −1, never 0.
struct Deviations {
  Eigen::VectorXd signed_mm;  ///< + outside the material; NaN unless Measured or Inside
  Eigen::VectorXi triangle;   ///< design triangle of the foot, −1 where there is none
  Eigen::Matrix3Xd foot_mm;   ///< 3 × #P closest point on the design, design frame
  std::vector<Reading> reading;
  double reach_mm = 0.0;  ///< farthest distance that was looked for
  /// 1 where the distance is not from the point to its foot but a way through missing material, or
  /// how far a face reaches over a wall; may be empty: nowhere.
  std::vector<std::uint8_t> inferred;
  /// The reading is such a way through missing material.
  [[nodiscard]] bool tells_missing(std::size_t point) const {
    return !inferred.empty() && inferred[point] != 0 && reading[point] == Reading::Inside;
  }
};

/// How many readings were measured again by other means, all with the same answer.
struct Proof {
  std::size_t points = 0;
  double largest_mm = 0.0;  ///< by which two distances differed
};

/// Number of points with that reading.
[[nodiscard]] std::size_t count_of(const Deviations& deviations, Reading reading);

}  // namespace trammel
