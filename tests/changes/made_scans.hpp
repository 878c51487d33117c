#pragma once

/// Scans made of flat faces, for tests of what only one scan shows.

#include <cmath>
#include <string>
#include <vector>

#include "trammel/base/random.hpp"
#include "trammel/changes/measure_changes.hpp"

namespace trammel::test {

/// Points with normals, one every 2 mm² of each face on average, 0.03 mm noise.
class MadeScan {
 public:
  explicit MadeScan(std::uint64_t seed) : rng_(seed) {}

  /// The parallelogram from `from` along two sides; normal along their cross product.
  MadeScan& face(const Eigen::Vector3d& from, const Eigen::Vector3d& side,
                 const Eigen::Vector3d& other) {
    const Eigen::Vector3d normal = side.cross(other).normalized();
    const auto count = static_cast<int>(0.5 * side.cross(other).norm());
    for (int i = 0; i < count; ++i) {
      points_.emplace_back(from + rng_.uniform(0.0, 1.0) * side + rng_.uniform(0.0, 1.0) * other +
                           0.03 * rng_.normal() * normal);
      normals_.push_back(normal);
    }
    return *this;
  }

  /// Top, and bottom when asked, of a plate 4 mm thick on [0, length] × [0, 120].
  MadeScan& plate(double length_mm = 160.0, bool bottom = false) {
    face({0, 0, 0}, {length_mm, 0, 0}, {0, 120, 0});
    if (bottom) face({0, 0, -4}, {0, 120, 0}, {length_mm, 0, 0});
    return *this;
  }

  /// Takes out what lies on z = 0 between the corners.
  MadeScan& without_floor(const Eigen::Vector3d& low, const Eigen::Vector3d& high) {
    std::vector<Eigen::Vector3d> points, normals;
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const Eigen::Vector3d& p = points_[i];
      const bool covered = std::abs(p.z()) < 1.0 && p.x() > low.x() && p.x() < high.x() &&
                           p.y() > low.y() && p.y() < high.y();
      if (covered) continue;
      points.push_back(p);
      normals.push_back(normals_[i]);
    }
    points_ = points;
    normals_ = normals;
    return *this;
  }

  /// Top and sides of a block that stands on z = 0; what it covers is taken out.
  MadeScan& block(const Eigen::Vector3d& low, const Eigen::Vector3d& high) {
    const Eigen::Vector3d d = high - low, x(d.x(), 0, 0), y(0, d.y(), 0), z(0, 0, d.z());
    without_floor(low, high);
    face(low + z, x, y);
    face(low, x, z).face(low + y, z, x);
    return face(low, z, y).face(low + x, y, z);
  }

  [[nodiscard]] Scan scan() const {
    Scan out;
    out.name = "made.xyz";
    out.points_mm.resize(3, static_cast<Eigen::Index>(points_.size()));
    out.normals.resize(3, out.points_mm.cols());
    for (std::size_t i = 0; i < points_.size(); ++i) {
      out.points_mm.col(static_cast<Eigen::Index>(i)) = points_[i];
      out.normals.col(static_cast<Eigen::Index>(i)) = normals_[i];
    }
    return out;
  }

 private:
  Rng rng_;
  std::vector<Eigen::Vector3d> points_, normals_;
};

inline Changes changes_between_made(const Scan& before, const Scan& after) {
  ScanFit fit;
  fit.alignment.found = fit.alignment.converged = true;
  fit.covariance = Matrix6d::Identity() * 1e-12;
  fit.noise_mm = 0.03;
  fit.sides_known = true;
  return measure_changes(before, after, fit, {});
}

inline bool reasons_say(const Changes& changes, const std::string& words) {
  for (const std::string& reason : changes.reasons)
    if (reason.find(words) != std::string::npos) return true;
  return false;
}

}  // namespace trammel::test
