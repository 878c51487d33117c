#include "trammel/compare/prove_readings.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/every_triangle.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr std::size_t kFewestPoints = 10;
/// Nearer to a surface's plane than this share of the distance, a point is on neither side of it.
constexpr double kLevel = 1e-6;

/// What two ways of measuring say of one point: equal when `problem` is empty.
struct Compared {
  std::string problem;
  double apart_mm = 0.0;
};

class Prover {
 public:
  Prover(const Eigen::Matrix3Xd& normals, const Mesh& design, const CompareSettings& settings,
         const Deviations& deviations)
      : normals_(normals),
        design_(design),
        all_(design),
        settings_(settings),
        deviations_(deviations),
        diagonal_mm_(bounding_box(design.vertices_mm).diagonal_mm()),
        tolerance_mm_(std::max(1e-6, 1e-9 * diagonal_mm_)) {}

  [[nodiscard]] Compared compared(Index i, const Vector3d& p) const {
    const auto slot = static_cast<std::size_t>(i);
    const Reading reading = deviations_.reading[slot];
    const double signed_mm = deviations_.signed_mm[i];
    const bool carries = reading == Reading::Measured || reading == Reading::Inside;
    if (carries != std::isfinite(signed_mm)) {
      return differ("a distance for what was measured alone", shortest(signed_mm) + " mm");
    }
    const MeasuredAgain again = all_.measure(p, normals_.col(i), settings_.least_cosine,
                                             deviations_.reach_mm + 2.0 * tolerance_mm_);
    if (reading == Reading::TooFar) {
      if (again.nearest_mm >= deviations_.reach_mm - tolerance_mm_) return {};
      return differ("the design within reach at " + shortest(again.nearest_mm) + " mm", "none");
    }
    if (again.nearest_mm > deviations_.reach_mm + tolerance_mm_) {
      return differ("nothing of the design within reach", "a reading");
    }
    if (!foot_is_on_triangle(i)) return differ("its foot on the triangle named", "it beside it");
    if (!carries) return {};
    if (!deviations_.inferred.empty() && deviations_.inferred[slot] != 0)
      return inferred(i, p, again);
    if (reading == Reading::Inside) return inside(i, p, again);
    return measured(i, p, again);
  }

 private:
  /// @param again  "expected …": what this way of measuring says
  [[nodiscard]] static Compared differ(const std::string& again, const std::string& read) {
    return {"expected " + again + " when measured again over all triangles, found " + read, 0.0};
  }

  [[nodiscard]] static Compared distances(double again_mm, double read_mm, double tolerance_mm) {
    const double apart_mm = std::abs(again_mm - read_mm);
    if (apart_mm <= tolerance_mm) return {{}, apart_mm};
    return differ(shortest(again_mm) + " mm", shortest(read_mm) + " mm");
  }

  [[nodiscard]] bool foot_is_on_triangle(Index i) const {
    const int triangle = deviations_.triangle[i];
    if (triangle < 0 || triangle >= design_.triangles.cols()) return false;
    const Vector3d foot = deviations_.foot_mm.col(i);
    return foot.allFinite() && (all_.foot_on(triangle, foot) - foot).norm() <= tolerance_mm_;
  }

  [[nodiscard]] Compared measured(Index i, const Vector3d& p, const MeasuredAgain& again) const {
    const double read_mm = std::abs(deviations_.signed_mm[i]);
    const Vector3d foot = deviations_.foot_mm.col(i);
    const Compared to_foot = distances((p - foot).norm(), read_mm, tolerance_mm_);
    if (!to_foot.problem.empty()) return to_foot;
    const double nearest_apart_mm = std::abs(again.nearest_mm - read_mm);
    const Compared nearest = distances(again.nearest_mm, read_mm, tolerance_mm_);
    const bool is_facing = read_mm >= again.facing_least_mm - tolerance_mm_ &&
                           read_mm <= again.facing_most_mm + tolerance_mm_;
    if (!nearest.problem.empty() && !is_facing) return nearest;
    if (!sign_is_right(i, p, again)) {
      return differ("the point on the other side of the surface",
                    signed_fixed(deviations_.signed_mm[i], 6) + " mm");
    }
    const double facing_mm = std::min(std::abs(again.facing_least_mm - read_mm),
                                      std::abs(again.facing_most_mm - read_mm));
    return {{}, std::max(to_foot.apart_mm, std::min(nearest_apart_mm, facing_mm))};
  }

  /// +1 or −1 when the direction says on which side of the foot the point lies, else 0.
  [[nodiscard]] static int side(const Vector3d& outwards, const Vector3d& foot, const Vector3d& p) {
    const double height = outwards.dot(p - foot);
    if (std::abs(height) <= kLevel * outwards.norm() * (p - foot).norm()) return 0;
    return height > 0.0 ? 1 : -1;
  }

  [[nodiscard]] bool sign_is_right(Index i, const Vector3d& p, const MeasuredAgain& again) const {
    const double signed_mm = deviations_.signed_mm[i];
    if (std::abs(signed_mm) <= tolerance_mm_) return true;
    const int read = signed_mm > 0.0 ? 1 : -1;
    const Vector3d foot = deviations_.foot_mm.col(i);
    const int by_height = side(all_.normal_of(deviations_.triangle[i]), foot, p);
    if (by_height == read) return true;
    if (all_.from_sides_mm(deviations_.triangle[i], foot) > tolerance_mm_) return by_height == 0;
    const int there = side(all_.outwards_at(foot, tolerance_mm_), foot, p);
    if (there == read || (there == 0 && by_height == 0)) return true;
    return side_of_nearest(p, again, -read) != -read;
  }

  /// Side of the nearest foot that the point lies on. Where shells touch, the directions of both
  /// add up to none that can be trusted: then that of the nearest triangle may say otherwise.
  [[nodiscard]] int side_of_nearest(const Vector3d& p, const MeasuredAgain& again,
                                    int doubted) const {
    const int by_all = side(all_.outwards_at(again.foot_mm, tolerance_mm_), again.foot_mm, p);
    if (by_all != doubted) return by_all;
    return side(all_.normal_of(again.triangle), again.foot_mm, p);
  }

  /// The surface about the nearest foot looks away from the point.
  [[nodiscard]] bool lies_inside(const Vector3d& p, const MeasuredAgain& again) const {
    if (again.nearest_mm <= tolerance_mm_) return true;
    return side_of_nearest(p, again, 1) <= 0;
  }

  [[nodiscard]] Compared inside(Index i, const Vector3d& p, const MeasuredAgain& again) const {
    if (!(deviations_.signed_mm[i] < 0.0) || !lies_inside(p, again)) {
      return differ("the point outside the material", "material missing before it");
    }
    return distances(again.nearest_mm, -deviations_.signed_mm[i], tolerance_mm_);
  }

  [[nodiscard]] Compared inferred(Index i, const Vector3d& p, const MeasuredAgain& again) const {
    const double signed_mm = deviations_.signed_mm[i];
    const bool is_inside = deviations_.reading[static_cast<std::size_t>(i)] == Reading::Inside;
    if (is_inside && (signed_mm > 0.0 || !lies_inside(p, again))) {
      return differ("the point outside the material", "material missing before it");
    }
    if (!is_inside && signed_mm < 0.0) return differ("a wall that is covered", "it shy");
    if (std::abs(signed_mm) > diagonal_mm_ + deviations_.reach_mm) {
      return differ("a length within the design's size", shortest(signed_mm) + " mm");
    }
    return {};
  }

  const Eigen::Matrix3Xd& normals_;
  const Mesh& design_;
  EveryTriangle all_;
  CompareSettings settings_;
  const Deviations& deviations_;
  double diagonal_mm_, tolerance_mm_;
};

std::vector<Index> drawn(Index count, const Mesh& design, Rng rng, const ProofSettings& proof) {
  std::vector<Index> points;
  if (proof.points == 0) {
    for (Index i = 0; i < count; ++i)
      points.push_back(i);
    return points;
  }
  const double triangles = std::max(1.0, static_cast<double>(design.triangles.cols()));
  const auto affordable = static_cast<std::size_t>(proof.most_work / triangles);
  const std::size_t wanted = std::min(proof.points, std::max(kFewestPoints, affordable));
  for (std::size_t k = 0; k < wanted && count > 0; ++k)
    points.push_back(static_cast<Index>(rng.index(static_cast<std::size_t>(count))));
  return points;
}

void check_sizes(const Scan& scan, const Eigen::Matrix3Xd& normals, const Deviations& deviations) {
  const Index count = scan.size();
  TRAMMEL_CHECK(normals.cols() == count && deviations.signed_mm.size() == count &&
                    deviations.triangle.size() == count && deviations.foot_mm.cols() == count &&
                    static_cast<Index>(deviations.reading.size()) == count,
                "every scan point needs a reading");
}

}  // namespace

Proof prove_readings(const Scan& scan, const Eigen::Matrix3Xd& normals, const Mesh& design,
                     const Eigen::Isometry3d& T_design_scan, const CompareSettings& settings,
                     const Deviations& deviations, Rng rng, const ProofSettings& proof) {
  check_sizes(scan, normals, deviations);
  const std::vector<Index> points = drawn(scan.size(), design, rng, proof);
  const Prover prover(normals, design, settings, deviations);
  std::vector<Compared> found(points.size());
  for_each_index(
      points.size(),
      [&](std::size_t k) {
        const Index i = points[k];
        const Vector3d p =
            T_design_scan * scan.points_mm.col(i) - settings.coating_mm * normals.col(i);
        found[k] = prover.compared(i, p);
      },
      8);
  Proof out{points.size(), 0.0};
  for (std::size_t k = 0; k < found.size(); ++k) {
    out.largest_mm = std::max(out.largest_mm, found[k].apart_mm);
    if (found[k].problem.empty()) continue;
    throw Error(ErrorKind::Internal, scan.name + ", point " + std::to_string(points[k]),
                found[k].problem,
                "This is a fault of Trammel itself, so there is no verdict; please report it with "
                "the command you ran");
  }
  return out;
}

}  // namespace trammel
