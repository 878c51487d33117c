#pragma once

/// Collects faces and makes triangles of them: what the formats with vertex lists have in common.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/base/numbers.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel::read {

/// A corner can take one byte of the file, and a triangle takes twelve of memory: so corners are
/// kept as they are, in blocks that never grow, until all are known. Memory stays below 20 times
/// the file.
class FaceList {
 public:
  void add(const std::vector<int>& corners) {
    if (corners.size() < 3) {
      ++without_area_;
      return;
    }
    if (corners.size() > 3) ++split_;
    triangles_ += corners.size() - 2;
    push(static_cast<int>(corners.size()));
    for (const int corner : corners)
      push(corner);
  }

  [[nodiscard]] std::size_t triangle_count() const { return triangles_; }

  /// Splits each face into a fan about its first corner (exact for flat convex faces), and says
  /// what is to be said of them.
  void store_in(RawGeometry& geometry) const {
    geometry.triangles.resize(3, static_cast<Eigen::Index>(triangles_));
    int* to = geometry.triangles.data();
    for (std::size_t at = 0; at < count_;) {
      const auto corners = static_cast<std::size_t>(value(at));
      for (std::size_t i = 2; i < corners; ++i) {
        *to++ = value(at + 1);
        *to++ = value(at + i);
        *to++ = value(at + i + 1);
      }
      at += corners + 1;
    }
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

  void push(int one) {
    if (count_ % kBlock == 0) {
      blocks_.emplace_back();
      blocks_.back().reserve(kBlock);
    }
    blocks_.back().push_back(one);
    ++count_;
  }
  [[nodiscard]] int value(std::size_t at) const { return blocks_[at / kBlock][at % kBlock]; }

  static constexpr std::size_t kBlock = 8192;
  std::vector<std::vector<int>> blocks_;  ///< of each face the number of its corners, then these
  std::size_t count_ = 0, triangles_ = 0;
  std::size_t split_ = 0, without_area_ = 0;
};

/// 3 × #V from x, y, z one after the other.
inline Eigen::Matrix3Xd columns_of(const std::vector<double>& values) {
  return Eigen::Map<const Eigen::Matrix3Xd>(values.data(), 3,
                                            static_cast<Eigen::Index>(values.size() / 3));
}

}  // namespace trammel::read
