#pragma once

/// Cracks, slits and delaminations that are narrower than the scan's points lie apart: scanned
/// points in the material that line up.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/judge/deep_points.hpp"

namespace trammel {

struct Slit {
  Eigen::Vector3d from_mm = Eigen::Vector3d::Zero();  ///< outermost of its points, design frame
  Eigen::Vector3d to_mm = Eigen::Vector3d::Zero();
  int points = 0;                     ///< in the material
  double deepest_mm = 0.0;            ///< of them, under the nearest face
  std::vector<Eigen::Index> members;  ///< columns of those points
};

/// A slit narrower than the spacing empties no disc of surface, and its walls hold too few points
/// to make a patch. They stand in a row all the same, where a part that is in order has nothing:
/// deeper than the band under every face, by U and four times the noise. So do not the points of a
/// face off its place by less than its band, of an edge drawn blunt, or of views that do not quite
/// agree.
///
/// Two such points, up to 40 mm apart and beneath one flat face, lay a strip through the material,
/// at right angles to the face. Others in it speak for a slit where strays would not put so many
/// there once in a hundred scans, over all strips that were tried: their density is that of all
/// such points over the faces thick enough to hold them, or in the material under these, whichever
/// gives more, or that to both sides of the strip where it is higher. Where surface should have
/// been seen in the strip and was not, less is enough: by that chance, yet no less than one in a
/// hundred, for scanners that go in rows leave bare strips of their own.
///
/// Three points at least, one of them so deep; their length times their depth is at least the least
/// area. Points that look across the face over them count at any depth, by the scanner's normals.
/// Where two lie deeper than the band, so do all that lie deeper than noise: where no other face
/// stands within its band, the one over them is seen to both sides of the strip, in its place, and
/// they lie all along it: not two thirds of them in a quarter of its length, as where it touches a
/// hole. Points deeper than 3 mm are left out: light and camera stand 20° apart or more, and see no
/// deeper into 1 mm. In a wall thinner than twice the band and U no point is deep enough, and
/// nothing is found.
/// @return the least likely to be chance first, no two share points
[[nodiscard]] std::vector<Slit> slits(const SlitEvidence& evidence);

/// Why they keep a part from passing, two at most.
[[nodiscard]] std::vector<std::string> why_slits(const std::vector<Slit>& found);

}  // namespace trammel
