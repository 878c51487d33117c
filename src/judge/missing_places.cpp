#include "trammel/judge/missing_places.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/sectors.hpp"
#include "trammel/judge/measure_wall.hpp"
#include "trammel/model/surface_rays.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

/// Three unknowns, and as many points as there are sectors.
constexpr std::size_t kFewestRound = 12;
constexpr int kSectors = 12;
constexpr std::ptrdiff_t kLeastSectors = 9;
constexpr double kMisfitOfRadius = 0.1;  // a hole that was drilled askew is no circle
constexpr double kLooksAtAxis = 0.7;     // cosine, in the median: estimated normals lean at rims
constexpr double kSameWay = 0.9;         // cosine: a face that goes on
constexpr double kLooksAlike = 0.5;      // cosine: a surface behind another

class MissingTeller {
 public:
  explicit MissingTeller(const MissingEvidence& evidence)
      : e_(evidence), rays_(rays_of(evidence.cells)) {}

  void tell(Region& region, const std::vector<Index>& points, const std::vector<int>& cells) const {
    const auto hole = round_hole(region, points);
    if (hole) {
      region.absence = Absence::Hole;
      region.hole_mm = 2.0 * hole->radius_mm;
      const Vector3d to_axis = hole->center_mm - region.center_mm;
      region.center_mm += to_axis - to_axis.dot(region.normal) * region.normal;
    } else if (stands_on_a_face(region, points)) {
      region.absence = Absence::Feature;
    }
    const auto depth_mm = known_depth_mm(region, points, cells);
    if (depth_mm) region.peak_mm = region.mean_mm = -*depth_mm;
  }

 private:
  [[nodiscard]] std::optional<Cylinder> round_hole(const Region& region,
                                                   const std::vector<Index>& points) const {
    if (points.size() < kFewestRound) return std::nullopt;
    const Matrix3Xd wall = e_.points_mm(Eigen::all, points);
    const auto start = algebraic_circle(wall, region.normal);
    if (!start) return std::nullopt;
    const auto fit =
        fit_cylinder(wall, Eigen::VectorXd::Ones(wall.cols()), *start, AxisChoice::Held);
    if (!fit) return std::nullopt;
    const Cylinder& round = fit->cylinder;
    const double misfit_mm = std::max(e_.expanded_mm, kMisfitOfRadius * round.radius_mm);
    if (fit->rms_mm > misfit_mm || !is_round(round, points)) return std::nullopt;
    return round;
  }

  /// The points lie all around the axis and look at it.
  [[nodiscard]] bool is_round(const Cylinder& round, const std::vector<Index>& points) const {
    const auto [u, v] = across(round.axis);
    std::array<bool, kSectors> filled{};
    std::vector<double> look;
    for (const Index i : points) {
      const Vector3d arm = e_.points_mm.col(i) - round.center_mm;
      const double x = u.dot(arm), y = v.dot(arm);
      filled[sector_of(x, y, kSectors)] = true;
      const Vector3d outwards = (x * u + y * v).normalized();
      look.push_back(-outwards.dot(e_.normals.col(i)));
    }
    return std::count(filled.begin(), filled.end(), true) >= kLeastSectors &&
           median_of(look) > kLooksAtAxis;
  }

  [[nodiscard]] bool stands_on_a_face(const Region& region,
                                      const std::vector<Index>& points) const {
    const double level_mm = std::max(e_.expanded_mm, region.limit_mm);
    const auto going_on = std::count_if(points.begin(), points.end(), [&](Index i) {
      const Vector3d p = e_.points_mm.col(i), normal = e_.normals.col(i);
      const SurfacePoint face =
          e_.design.nearest_facing(p, normal, kSameWay, e_.deviations.reach_mm);
      return face.found() &&
             std::abs(e_.design.face_normal(face.triangle).dot(p - face.foot_mm)) <= level_mm;
    });
    return 2 * static_cast<std::size_t>(going_on) > points.size();
  }

  /// Of a face with a bit of the wall of an opening in it those of the face: what lies behind that
  /// wall is the rest of the part. All where none look its way.
  [[nodiscard]] std::vector<int> that_look_its_way(const Region& region,
                                                   const std::vector<int>& cells) const {
    std::vector<int> out;
    for (const int c : cells)
      if (e_.cells.normal.col(c).dot(region.normal) >= kSameWay) out.push_back(c);
    return out.empty() ? cells : out;
  }

  /// Nothing where neither a surface behind nor the design's far side is met.
  [[nodiscard]] std::optional<double> known_depth_mm(const Region& region,
                                                     const std::vector<Index>& points,
                                                     const std::vector<int>& cells) const {
    std::vector<double> through, behind;
    for (const int c : that_look_its_way(region, cells)) {
      const Through far_side =
          through_material(e_.cells.center_mm.col(c), e_.cells.normal.col(c), e_.cells, *rays_);
      if (far_side.cell >= 0) through.push_back(far_side.thickness_mm);
    }
    for (const Index i : points) {
      const Vector3d up = e_.design.face_normal(e_.deviations.triangle[i]);
      if (up.dot(region.normal) < kSameWay || up.dot(e_.normals.col(i)) < kLooksAlike) continue;
      behind.push_back(up.dot(e_.deviations.foot_mm.col(i) - e_.points_mm.col(i)));
    }
    if (through.empty() && behind.empty()) return std::nullopt;
    double depth_mm = HUGE_VAL;
    if (!through.empty()) depth_mm = median_of(through);
    if (!behind.empty()) depth_mm = std::min(depth_mm, std::max(0.0, median_of(behind)));
    return depth_mm;
  }

  const MissingEvidence& e_;
  std::shared_ptr<const SurfaceRays> rays_;
};

}  // namespace

void tell_missing(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
                  std::vector<Region>& regions) {
  const auto is_missing = [](const Region& region) { return region.absence != Absence::None; };
  if (evidence.normals.cols() != evidence.points_mm.cols() ||
      std::none_of(regions.begin(), regions.end(), is_missing))
    return;
  std::vector<std::vector<Index>> points(regions.size() + 1);
  std::vector<std::vector<int>> cells(regions.size() + 1);
  for (Index i = 0; i < evidence.readings.cell_of_point.size(); ++i) {
    const int cell = evidence.readings.cell_of_point[i];
    if (cell >= 0 && evidence.deviations.tells_missing(static_cast<std::size_t>(i)))
      points[static_cast<std::size_t>(region_of_cell[cell])].push_back(i);
  }
  for (Index c = 0; c < region_of_cell.size(); ++c)
    if (evidence.readings.is_missing(c))
      cells[static_cast<std::size_t>(region_of_cell[c])].push_back(static_cast<int>(c));
  const MissingTeller teller(evidence);
  for (Region& region : regions) {
    const auto id = static_cast<std::size_t>(region.id);
    if (is_missing(region)) teller.tell(region, points[id], cells[id]);
  }
}

}  // namespace trammel
