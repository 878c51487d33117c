#pragma once

/// Collects faces as triangles: what the formats with vertex lists have in common.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/base/numbers.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel::read {

/// Splits each face into a fan about its first corner (exact for flat convex faces).
class FaceList {
 public:
  void add(const std::vector<int>& corners) {
    if (corners.size() < 3) {
      ++without_area_;
      return;
    }
    if (corners.size() > 3) ++split_;
    for (std::size_t i = 2; i < corners.size(); ++i)
      corners_.insert(corners_.end(), {corners[0], corners[i - 1], corners[i]});
  }

  [[nodiscard]] std::size_t triangle_count() const { return corners_.size() / 3; }

  /// Moves triangles and what is to be said of them into `geometry`.
  void store_in(RawGeometry& geometry) const {
    geometry.triangles = Eigen::Map<const Eigen::Matrix3Xi>(
        corners_.data(), 3, static_cast<Eigen::Index>(triangle_count()));
    note(geometry, split_, "face of more than three corners was split into triangles",
         "faces of more than three corners were split into triangles");
    note(geometry, without_area_, "face of fewer than three corners was left out",
         "faces of fewer than three corners were left out");
  }

 private:
  static void note(RawGeometry& geometry, std::size_t count, const std::string& one,
                   const std::string& more) {
    if (count == 0) return;
    geometry.notes.push_back(counted(count, one, more));
  }

  std::vector<int> corners_;
  std::size_t split_ = 0, without_area_ = 0;
};

/// 3 × #V from x, y, z one after the other.
inline Eigen::Matrix3Xd columns_of(const std::vector<double>& values) {
  return Eigen::Map<const Eigen::Matrix3Xd>(values.data(), 3,
                                            static_cast<Eigen::Index>(values.size() / 3));
}

}  // namespace trammel::read
