#include "trammel/judge/grips.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <utility>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/coverage.hpp"
#include "trammel/judge/point_patches.hpp"
#include "trammel/judge/standing.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Lower things are flaws of the part; the jaws of clamps are thicker.
constexpr double kTall_mm = 3.0;
/// The scanned surface looks at the face below it: that of a bench under an arch, not of a jaw.
constexpr double kLooksBack = -0.5;
/// Fewer neighbours have strays that fell together.
constexpr std::size_t kNeighbours = 6;  // itself among them
/// So many points on either side make a jaw, and a face in its place around it.
constexpr int kEnough = 12;
/// Of a jaw that is higher than the reach the sides alone are near the part, and lie so far apart.
constexpr double kAcrossJaw_mm = 20.0;
/// So many of them tell where the jaws are.
constexpr std::size_t kMostHeld = 3000;
/// Off by no more than this the face around a jaw is the drawn one.
constexpr double kInPlace_mm = 1.0;
/// Faces that turn less than 25° from each other are one.
constexpr double kOneFace = 0.9;

/// The points of one jaw that have another across the wall.
struct Jaw {
  PointIndex feet;
  Vector3d normal;  ///< of the face that it stands on, where its first point does
};

class Grips {
 public:
  Grips(const Eigen::Matrix3Xd& scan_points_mm, const Eigen::Isometry3d& T_design_scan,
        const Eigen::Matrix3Xd& normals, const SurfaceIndex& design, double spacing_mm,
        const Deviations& deviations)
      : scan_points_mm_(scan_points_mm),
        T_design_scan_(T_design_scan),
        normals_(normals),
        design_(design),
        near_mm_(std::max(1.0, 2.5 * spacing_mm)),
        deviations_(deviations) {}

  /// Those that stand tall over the design and have as tall a thing across the wall; of very many
  /// an even share.
  [[nodiscard]] std::vector<Index> held() const {
    const std::vector<Index> tall = dense(
        indices_where(deviations_.reading.size(), [&](std::size_t i) { return stands_tall(i); }));
    if (tall.size() < 2 * kEnough) return {};
    const PointIndex feet(deviations_.foot_mm, {tall.begin(), tall.end()});
    const auto across = indices_where(
        tall.size(), [&](std::size_t k) { return has_another_across(tall[k], feet); });
    std::vector<Index> out;
    const std::size_t step = across.size() / kMostHeld + 1;
    for (std::size_t k = 0; k < across.size(); k += step)
      out.push_back(tall[static_cast<std::size_t>(across[k])]);
    return out;
  }

  /// Both jaws of a patch of held points; nothing where one lacks, or the face around it does.
  [[nodiscard]] std::optional<std::pair<Jaw, Jaw>> jaws(const PointPatch& patch) const {
    const Vector3d normal = face_normal(patch.members.front());
    std::vector<int> here, there;
    for (const Index i : patch.members)
      (face_normal(i).dot(normal) > 0.0 ? here : there).push_back(static_cast<int>(i));
    if (!enough(here) || !enough(there)) return std::nullopt;
    const Vector3d back = face_normal(there.front());
    std::sort(here.begin(), here.end());
    std::sort(there.begin(), there.end());
    Jaw front{PointIndex(deviations_.foot_mm, std::move(here)), normal};
    Jaw rear{PointIndex(deviations_.foot_mm, std::move(there)), back};
    if (!stands_on_drawn_face(front) || !stands_on_drawn_face(rear)) return std::nullopt;
    return std::make_pair(std::move(front), std::move(rear));
  }

  [[nodiscard]] Grip described(const PointPatch& patch) const {
    Grip out;
    out.center_mm = deviations_.foot_mm.col(patch.members.front());
    double nearest_mm = HUGE_VAL;
    Vector3d middle = Vector3d::Zero();
    for (const Index i : patch.members)
      middle += deviations_.foot_mm.col(i) / static_cast<double>(patch.members.size());
    for (const Index i : patch.members) {
      const double from_middle_mm = (deviations_.foot_mm.col(i) - middle).norm();
      out.height_mm = std::max(out.height_mm, rise_mm(i));
      if (from_middle_mm >= nearest_mm) continue;
      nearest_mm = from_middle_mm;
      out.center_mm = deviations_.foot_mm.col(i);
    }
    for (const Index i : patch.members)
      out.radius_mm = std::max(out.radius_mm, (deviations_.foot_mm.col(i) - out.center_mm).norm());
    return out;
  }

  /// Points that read as proud and are pieces of the clamp.
  [[nodiscard]] std::vector<Index> pieces(const Jaw& jaw) const {
    return indices_where(deviations_.reading.size(), [&](std::size_t k) {
      const auto i = static_cast<Index>(k);
      if (deviations_.reading[k] != Reading::Measured) return false;
      const double proud_mm = deviations_.signed_mm[i];
      return (proud_mm > kInPlace_mm && is_near(jaw, i)) ||
             (proud_mm >= kTall_mm && is_near(jaw, i, kAcrossJaw_mm));
    });
  }

 private:
  static bool enough(const std::vector<int>& points) {
    return static_cast<int>(points.size()) >= kEnough;
  }

  [[nodiscard]] Vector3d face_normal(Index point) const {
    return design_.face_normal(deviations_.triangle[point]);
  }

  [[nodiscard]] Vector3d place_mm(Index point) const {
    return T_design_scan_ * Vector3d(scan_points_mm_.col(point));
  }

  /// From its foot on the design.
  [[nodiscard]] Vector3d way_mm(Index point) const {
    return place_mm(point) - deviations_.foot_mm.col(point);
  }

  [[nodiscard]] double rise_mm(Index point) const { return way_mm(point).dot(face_normal(point)); }

  [[nodiscard]] bool inferred(std::size_t point) const {
    return !deviations_.inferred.empty() && deviations_.inferred[point] != 0;
  }

  [[nodiscard]] bool is_near(const Jaw& jaw, Index point, double within_mm = kSameClamp_mm) const {
    return !jaw.feet.nearest(deviations_.foot_mm.col(point), 1, within_mm).empty();
  }

  [[nodiscard]] bool stands_tall(std::size_t k) const {
    const Reading reading = deviations_.reading[k];
    if ((reading != Reading::Measured && reading != Reading::Beside) || inferred(k)) return false;
    const auto i = static_cast<Index>(k);
    const Vector3d way = way_mm(i);
    if (way.squaredNorm() < kTall_mm * kTall_mm) return false;
    return rise_mm(i) >= kStraightAbove * way.norm() &&
           normals_.col(i).dot(face_normal(i)) > kLooksBack;
  }

  /// Without those that few others lie about.
  [[nodiscard]] std::vector<Index> dense(const std::vector<Index>& tall) const {
    if (tall.size() < kNeighbours) return {};
    Eigen::Matrix3Xd places_mm(3, static_cast<Index>(tall.size()));
    for (std::size_t k = 0; k < tall.size(); ++k)
      places_mm.col(static_cast<Index>(k)) = place_mm(tall[k]);
    const PointIndex index(places_mm);
    std::vector<Index> out;
    for (std::size_t k = 0; k < tall.size(); ++k) {
      const Vector3d place = places_mm.col(static_cast<Index>(k));
      const auto about = index.nearest(place, static_cast<int>(kNeighbours), near_mm_);
      if (about.size() == kNeighbours) out.push_back(tall[k]);
    }
    return out;
  }

  [[nodiscard]] bool has_another_across(Index point, const PointIndex& tall_feet) const {
    const Vector3d foot = deviations_.foot_mm.col(point), normal = face_normal(point);
    const SurfacePoint across = design_.nearest_facing(foot, -normal, 0.8, kThickestWall_mm);
    if (!across.found() || normal.dot(across.foot_mm - foot) >= 0.0) return false;
    const auto about = tall_feet.within(across.foot_mm, near_mm_);
    return std::any_of(about.begin(), about.end(), [&](const Neighbour& other) {
      return face_normal(other.index).dot(normal) < -kOneFace;
    });
  }

  [[nodiscard]] bool stands_on_drawn_face(const Jaw& jaw) const {
    const auto in_place = indices_where(deviations_.reading.size(), [&](std::size_t k) {
      const auto i = static_cast<Index>(k);
      return deviations_.reading[k] == Reading::Measured && !inferred(k) &&
             std::abs(deviations_.signed_mm[i]) <= kInPlace_mm &&
             face_normal(i).dot(jaw.normal) > kOneFace && is_near(jaw, i);
    });
    return static_cast<int>(in_place.size()) >= kEnough;
  }

  const Eigen::Matrix3Xd& scan_points_mm_;
  Eigen::Isometry3d T_design_scan_;
  const Eigen::Matrix3Xd& normals_;
  const SurfaceIndex& design_;
  double near_mm_;  ///< a little more than neighbouring points lie apart
  const Deviations& deviations_;
};

void set_aside(const std::vector<Index>& points, Deviations& deviations) {
  for (const Index i : points) {
    deviations.reading[static_cast<std::size_t>(i)] = Reading::Beside;
    deviations.signed_mm[i] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace

std::vector<Grip> set_aside_grips(const Eigen::Matrix3Xd& scan_points_mm,
                                  const Eigen::Isometry3d& T_design_scan,
                                  const Eigen::Matrix3Xd& normals, const SurfaceIndex& design,
                                  double spacing_mm, Deviations& deviations) {
  const Grips grips(scan_points_mm, T_design_scan, normals, design, spacing_mm, deviations);
  std::vector<Grip> out;
  std::vector<Index> aside;
  for (const PointPatch& patch :
       point_patches(deviations.foot_mm, grips.held(), kAcrossJaw_mm, 2 * kEnough)) {
    const auto jaws = grips.jaws(patch);
    if (!jaws) continue;
    out.push_back(grips.described(patch));
    for (const Jaw* jaw : {&jaws->first, &jaws->second}) {
      const std::vector<Index> pieces = grips.pieces(*jaw);
      aside.insert(aside.end(), pieces.begin(), pieces.end());
    }
  }
  set_aside(aside, deviations);
  return out;
}

bool is_of_a_grip(const Vector3d& place_mm, const std::vector<Grip>& grips) {
  return std::any_of(grips.begin(), grips.end(), [&](const Grip& grip) {
    return (place_mm - grip.center_mm).norm() <= grip.radius_mm + kSameClamp_mm;
  });
}

}  // namespace trammel
