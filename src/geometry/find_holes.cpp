#include "trammel/geometry/find_holes.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "hole_walls.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/near_triangles.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using hole_walls::Crease;
using hole_walls::Finding;
using hole_walls::Kind;
using hole_walls::Patch;
using hole_walls::PatchGrower;

constexpr double kLeastTurn_rad = 100.0 * kPi / 180.0;
constexpr double kSameAxis = 0.9998;  // a cosine: about a degree
/// Steps of growing patches and walks over the mesh that are worth the list, of about 0.1 µs each:
/// a few seconds.
constexpr long long kMostWork = 30'000'000;

class HoleFinder {
 public:
  HoleFinder(const Mesh& design, const FindHoleSettings& settings)
      : design_(design),
        settings_(settings),
        boxes_(design),
        all_(boxes_.near(bounding_box(design.vertices_mm).center_mm(),
                         std::numeric_limits<double>::infinity())),
        grower_(all_),
        settled_(static_cast<std::size_t>(all_.size()), 0) {
    for (Eigen::Matrix3Xd& axes : tried_)
      axes = Eigen::Matrix3Xd::Zero(3, all_.size());
  }

  FoundHoles find() {
    FoundHoles out;
    for (const Crease& crease : hole_walls::inward_creases(all_)) {
      if (settled_[static_cast<std::size_t>(crease.a)] != 0) continue;
      if (steps_ > kMostWork) {
        out.complete = false;
        break;
      }
      if (auto hole = hole_at(crease)) out.holes.push_back(std::move(*hole));
    }
    std::sort(out.holes.begin(), out.holes.end(), [](const DesignHole& a, const DesignHole& b) {
      return a.triangles.front() < b.triangles.front();
    });
    return out;
  }

 private:
  std::optional<DesignHole> hole_at(const Crease& crease) {
    for (std::size_t limit = 0; limit < tried_.size(); ++limit) {
      if (crease.turn_rad > hole_walls::kTurnLimits_rad[limit]) continue;
      if (std::abs(tried_[limit].col(crease.a).dot(crease.axis)) > kSameAxis) continue;
      const Patch patch = grower_.grown(crease.a, crease.axis, hole_walls::kTurnLimits_rad[limit]);
      steps_ += static_cast<long long>(patch.size());
      for (const int f : patch)
        tried_[limit].col(f) = crease.axis;
      if (turn_of(patch, crease.axis) < kLeastTurn_rad) continue;
      Finding finding = examined(crease, patch, hole_walls::kTurnLimits_rad[limit]);
      if (finding.kind == Kind::Hole) return at_mid_depth(std::move(finding.hole));
    }
    return std::nullopt;
  }

  /// How far the normals of a patch turn about the axis: 360° less their widest gap.
  [[nodiscard]] double turn_of(const Patch& patch, const Vector3d& axis) const {
    const Across axes = across(axis);
    std::vector<double> angles;
    for (const int f : patch)
      angles.push_back(
          std::atan2(all_.normals.col(f).dot(axes.v), all_.normals.col(f).dot(axes.u)));
    std::sort(angles.begin(), angles.end());
    double widest = angles.front() + 2.0 * kPi - angles.back();
    for (std::size_t i = 1; i < angles.size(); ++i)
      widest = std::max(widest, angles[i] - angles[i - 1]);
    return 2.0 * kPi - widest;
  }

  /// Among the triangles around the patch, wider until no wall is cut off.
  Finding examined(const Crease& crease, const Patch& patch, double turn_limit_rad) {
    const Vector3d center = all_.corner(crease.a, 0);
    double reach = 0.0;
    for (const int f : patch)
      for (int k = 0; k < 3; ++k)
        reach = std::max(reach, (all_.corner(f, k) - center).norm());
    for (reach *= 1.1;; reach *= 2.0) {
      const NearTriangles near = boxes_.near(center, reach);
      steps_ += design_.triangles.cols() / 10 + 30 * near.size();
      const int origin = all_.origin[static_cast<std::size_t>(crease.a)];
      const auto seed = std::lower_bound(near.origin.begin(), near.origin.end(), origin);
      PatchGrower grower(near);
      const Patch around =
          grower.grown(static_cast<int>(seed - near.origin.begin()), crease.axis, turn_limit_rad);
      Patch wall;
      Finding finding = hole_walls::examine(near, around, settings_, wall);
      if (finding.kind == Kind::CutOff && !near.whole) continue;
      for (const int f : wall)
        settle(near.origin[static_cast<std::size_t>(f)]);
      return finding;
    }
  }

  void settle(int origin) {
    const auto at = std::lower_bound(all_.origin.begin(), all_.origin.end(), origin);
    settled_[static_cast<std::size_t>(at - all_.origin.begin())] = 1;
  }

  static DesignHole at_mid_depth(DesignHole hole) {
    const double middle = 0.5 * (hole.low_mm + hole.high_mm);
    hole.center_mm += middle * hole.axis;
    hole.low_mm -= middle;
    hole.high_mm -= middle;
    return hole;
  }

  const Mesh& design_;
  FindHoleSettings settings_;
  TriangleBoxes boxes_;
  NearTriangles all_;
  PatchGrower grower_;
  std::vector<char> settled_;
  std::array<Eigen::Matrix3Xd, 3> tried_;  ///< axis that a triangle's patch was last tried with
  long long steps_ = 0;
};

}  // namespace

FoundHoles find_holes(const Mesh& design, const FindHoleSettings& settings) {
  if (design.triangles.cols() == 0) return {};
  return HoleFinder(design, settings).find();
}

}  // namespace trammel
