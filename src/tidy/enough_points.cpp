#include "trammel/tidy/enough_points.hpp"

#include <utility>
#include <vector>

#include "trammel/geometry/chosen_by_place.hpp"

namespace trammel {

Scan enough_points(Scan scan, Eigen::Index most) {
  if (scan.size() <= most) return scan;
  const std::vector<Eigen::Index> chosen = chosen_by_place(scan.points_mm, most);
  if (scan.has_normals()) scan.normals = Eigen::Matrix3Xd(scan.normals(Eigen::all, chosen));
  scan.points_mm = Eigen::Matrix3Xd(scan.points_mm(Eigen::all, chosen));
  return scan;
}

}  // namespace trammel
