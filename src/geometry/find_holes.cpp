#include "trammel/geometry/find_holes.hpp"

#include <algorithm>
#include <array>
#include <bitset>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

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

constexpr double kLeastTurn_deg = 100.0;
constexpr double kSameAxis = 0.9998;  // a cosine: about a degree
/// Steps of growing patches and walks over the mesh that are worth the list, of about 0.1 µs each:
/// a second for a usual part, and a few for millions of triangles.
constexpr long long kMostWork = 8'000'000, kMostWorkPerTriangle = 15;

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
    const long long most_work = kMostWork + kMostWorkPerTriangle * all_.size();
    for (const Crease& crease : sharpest_first()) {
      if (settled_[static_cast<std::size_t>(crease.a)] != 0) continue;
      if (steps_ > most_work) {
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
  /// What bends most is most likely a hole's wall: gentle waves of a face may wait till the end.
  [[nodiscard]] std::vector<Crease> sharpest_first() const {
    std::vector<Crease> creases = hole_walls::inward_creases(all_);
    std::stable_sort(creases.begin(), creases.end(),
                     [](const Crease& x, const Crease& y) { return x.turn_rad > y.turn_rad; });
    return creases;
  }

  std::optional<DesignHole> hole_at(const Crease& crease) {
    for (std::size_t limit = 0; limit < tried_.size(); ++limit) {
      if (crease.turn_rad > hole_walls::kTurnLimits_rad[limit]) continue;
      if (std::abs(tried_[limit].col(crease.a).dot(crease.axis)) > kSameAxis) continue;
      const Patch patch = grower_.grown(crease.a, crease.axis, hole_walls::kTurnLimits_rad[limit]);
      steps_ += static_cast<long long>(patch.size());
      for (const int f : patch)
        tried_[limit].col(f) = crease.axis;
      if (!turns_enough(patch, crease.axis)) continue;
      Finding finding = examined(crease, patch, hole_walls::kTurnLimits_rad[limit]);
      if (finding.kind == Kind::Hole) return at_mid_depth(std::move(finding.hole));
    }
    return std::nullopt;
  }

  /// Whether the normals of a patch turn far enough about the axis: 360° less their widest gap, to
  /// a degree.
  [[nodiscard]] bool turns_enough(const Patch& patch, const Vector3d& axis) const {
    const Across axes = across(axis);
    std::bitset<360> looked_at;
    for (const int f : patch) {
      const double angle =
          std::atan2(all_.normals.col(f).dot(axes.v), all_.normals.col(f).dot(axes.u));
      looked_at.set(static_cast<std::size_t>(angle / kPi * 180.0 + 360.0) % 360);
    }
    std::size_t gap = 0, widest = 0;
    for (std::size_t degree = 0; degree < 720; ++degree) {  // twice round: a gap may span 0°
      gap = looked_at[degree % 360] ? 0 : gap + 1;
      widest = std::max(widest, gap);
    }
    return 360.0 - static_cast<double>(widest) >= kLeastTurn_deg;
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
      Patch around =
          grower.grown(static_cast<int>(seed - near.origin.begin()), crease.axis, turn_limit_rad);
      Patch wall;
      Finding finding = hole_walls::examine(near, std::move(around), settings_, wall);
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
