#pragma once

/// A second look at readings that only their neighbours can confirm.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/deviations.hpp"

namespace trammel {

struct SettleSettings {
  double doubtful_mm = 0.25;  ///< nearer readings, or within 4 σ of all, need no confirmation
  int agreeing = 2;  ///< of the eight nearest points that look the same way, so many must share it
  int agreeing_past_nearer = 4;  ///< where the point may be of a nearer face, of those close by
};

/// How a reading was come by, where that makes it doubtful.
struct ReadingDoubts {
  std::vector<std::uint8_t> sideways;  ///< #P, 1: taken over an edge of its face
  std::vector<double> nearer_mm;       ///< #P, signed distance of a nearer face that the normal
                                       ///< overruled; NaN: none
};

/// - A face continued over its edge (`sideways`) is believed only where the face itself was scanned
/// right
///   behind that edge. Else it is something that lies level with a face nobody saw, such as the
///   bench under the part: Beside.
/// - A large reading that no neighbour shares is a Stray: strays come alone, defects never do. A
///   neighbour shares it that looks the same way and reads at least a quarter of it: of thin sheet
///   the other side is as near, and a dent reads all depths. Where the face itself was scanned in
///   its place, only a neighbour close by counts: where strays are many, some agree from afar.
/// - A large reading past a nearer face rests on the normal, and estimated normals go wrong by twos
///   and threes at rims and where a wall is hardly seen. Where the nearer face is no farther off
///   than faces of this part usually are, or two points close by were read from it about as high,
///   half of the neighbours must share the reading, from the same face and within 2.5 spacings. A
///   sheet that was pushed through its own thickness fills a patch and has them.
/// @param points_mm  3 × #P, design frame
/// @param normals    3 × #P, out of the material
/// @param index      of the points
void settle_readings(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                     const PointIndex& index, const SurfaceIndex& design,
                     const ReadingDoubts& doubts, Deviations& deviations,
                     const SettleSettings& settings = {});

}  // namespace trammel
