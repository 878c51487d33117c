#include "trammel/align/align_scans.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>
#include <utility>

#include "trammel/align/coarse_search.hpp"
#include "trammel/align/freedom.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/align/scan_contest.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/orient_normals.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/surfels.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMovingPoints = 12'000;
constexpr std::size_t kSurfels = 30'000;
constexpr Eigen::Index kFewestInScan = 60;
constexpr int kPlanePoints = 20;  // of the cloud, a surfel's plane
constexpr std::size_t kFewestOfPlane = 6;
constexpr double kOtherFace = -0.5;  // 60° off the opposite way
constexpr double kNearlyAllOfScan = 0.7;
constexpr double kLoosestPose = 0.02;  // of the diagonal

/// Part of a scan's surface, as the number of cells of one size that it passes.
std::size_t cells_passed(const Eigen::Matrix3Xd& points, double cell_mm) {
  std::set<std::tuple<long, long, long>> cells;
  const Eigen::Index step = std::max<Eigen::Index>(1, points.cols() / 50'000);
  for (Eigen::Index i = 0; i < points.cols(); i += step) {
    const Eigen::Vector3d at = (points.col(i) / cell_mm).array().floor();
    cells.emplace(std::lround(at.x()), std::lround(at.y()), std::lround(at.z()));
  }
  return cells.size();
}

/// Every n-th point, at most 200,000: planes and spacing do not need more.
Scan thinned(const Scan& scan) {
  const Eigen::Index count = std::min<Eigen::Index>(200'000, scan.size());
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < count; ++i)
    kept.push_back(i * scan.size() / count);
  Scan out;
  out.points_mm = scan.points_mm(Eigen::all, kept);
  if (scan.has_normals()) out.normals = scan.normals(Eigen::all, kept);
  return out;
}

/// The nearest points, without those of the other face of thin sheet where normals tell them.
std::vector<Neighbour> on_same_side(const Scan& cloud, const PointIndex& index,
                                    const Eigen::Vector3d& place, const Eigen::Vector3d& normal) {
  std::vector<Neighbour> nearest = index.nearest(place, kPlanePoints);
  if (!cloud.has_normals()) return nearest;
  const auto faces_away = [&](const Neighbour& n) {
    return cloud.normals.col(n.index).dot(normal) < kOtherFace;
  };
  if (std::none_of(nearest.begin(), nearest.end(), faces_away)) return nearest;
  nearest = index.nearest(place, 3 * kPlanePoints);
  nearest.erase(std::remove_if(nearest.begin(), nearest.end(), faces_away), nearest.end());
  if (nearest.size() > kPlanePoints) nearest.resize(kPlanePoints);
  return nearest;
}

/// The sample with every point moved onto the plane of its neighbours in the cloud, and normals of
/// those planes turned alike (the scan's own decide where it has them).
void lay_on_planes(ScanSample& sample, const Scan& cloud, const PointIndex& index) {
  for_each_index(
      static_cast<std::size_t>(sample.size()),
      [&](std::size_t i) {
        const auto at = static_cast<Eigen::Index>(i);
        const Eigen::Vector3d own = sample.normals.col(at);
        const auto nearest = on_same_side(cloud, index, sample.points_mm.col(at), own);
        if (nearest.size() < kFewestOfPlane) return;
        const auto [mean, eigen] = plane_through(cloud.points_mm, nearest);
        // No plane at an edge, or where the points are of one row: there the point stays.
        if (eigen.values[0] > 0.05 * eigen.values[1]) return;
        Eigen::Vector3d normal = eigen.vectors.col(0);
        if (normal.dot(own) < 0.0) normal = -normal;
        sample.points_mm.col(at) -= normal * normal.dot(sample.points_mm.col(at) - mean);
        sample.normals.col(at) = normal;
      },
      256);
}

/// 1 σ of points about the plane of their face, the median over places; the sample's own figure
/// takes both faces of thin sheet together.
double noise_on_faces_mm(const ScanSample& sample, const Scan& cloud, const PointIndex& index) {
  if (!cloud.has_normals()) return sample.noise_mm;
  std::vector<double> scatter;
  for (Eigen::Index i = 0; i < std::min<Eigen::Index>(600, sample.size()); ++i) {
    const auto nearest = on_same_side(cloud, index, sample.points_mm.col(i), sample.normals.col(i));
    if (nearest.size() < kFewestOfPlane) continue;
    const double across = plane_through(cloud.points_mm, nearest).spread.values[0];
    scatter.push_back(std::sqrt(std::max(0.0, across) / static_cast<double>(nearest.size() - 3)));
  }
  return scatter.empty() ? sample.noise_mm : std::min(sample.noise_mm, median_of(scatter));
}

Mesh surface_of(const Scan& scan, double& noise_mm, const Rng& rng) {
  ScanSample sample = sample_scan(scan, kSurfels, rng.stream("surfels"));
  noise_mm = sample.noise_mm;
  if (sample.size() < kFewestInScan) return {};
  {
    const Scan cloud = thinned(scan);
    const PointIndex index(cloud.points_mm);
    noise_mm = noise_on_faces_mm(sample, cloud, index);
    lay_on_planes(sample, cloud, index);
  }
  const PointIndex index(sample.points_mm);
  if (!scan.has_normals())
    sample.normals = oriented_normals(sample.points_mm, index, std::move(sample.normals));
  const double radius_mm = std::max(1.2 * median_spacing_mm(sample.points_mm, index), 1e-6);
  return surfel_mesh(sample.points_mm, sample.normals, radius_mm, scan.name);
}

/// 1 σ of the base's own points about its surfels: noise, and what planes cannot follow.
double own_scatter_mm(const Scan& base, const SurfaceIndex& surfels) {
  constexpr Eigen::Index kLooked = 2000;
  const Eigen::Index count = std::min(kLooked, base.size());
  std::vector<double> off;
  for (Eigen::Index i = 0; i < count; ++i)
    off.push_back(surfels.nearest(base.points_mm.col(i * base.size() / count)).distance_mm);
  return std::max(1.4826 * median_of(off), 1e-6 * bounding_box(base.points_mm).diagonal_mm());
}

/// The motion between two poses moves the moving scan's own points by this much at most.
void list_rivals(Alignment& alignment, const CoarseDesign& coarse, const ScanContest& contest) {
  alignment.ambiguous = !contest.equals.empty();
  const Eigen::Isometry3d back = contest.winner.fit.T_design_scan.inverse();
  for (const ScanPose& rival : contest.equals)
    alignment.others.push_back({rival.fit.T_design_scan, rival.evidence.rms_mm,
                                std::min(1.0, rival.evidence.overlap),
                                motion_in_words(rival.fit.T_design_scan * back, coarse.box)});
}

void judge_pose(Alignment& a, double least_overlap, double diagonal_mm) {
  a.found = true;
  if (a.overlap < least_overlap) {
    a.found = false;
    a.doubts.push_back("the best pose explains only " + fixed(100.0 * a.overlap, 0) +
                       " % of the smaller scan, and " + fixed(100.0 * least_overlap, 0) +
                       " % is the least that is believed");
  }
  if (a.standard_error_mm > kLoosestPose * diagonal_mm) {
    a.found = false;
    a.doubts.push_back("what both scans show holds them to each other only to ±" +
                       fixed(a.standard_error_mm, 1) + " mm (1 σ) at the corners");
  }
  if (!a.converged)
    a.doubts.push_back("the fit had not come to rest after " + std::to_string(a.iterations) +
                       " iterations");
  if (a.ambiguous)
    a.doubts.push_back("the new scan fits as well when it is " + a.others.front().words);
}

/// (Σ JJᵀ / σ²)⁻¹, what is not held being bound to the diagonal.
Matrix6d covariance_of_noise(const Freedom& freedom, const CoarseDesign& coarse) {
  Matrix6d held = freedom.information;
  held.topLeftCorner<3, 3>().diagonal().array() += 1.0;  // 1 rad
  held.bottomRightCorner<3, 3>().diagonal().array() += std::pow(coarse.diagonal_mm, -2.0);
  return solve_symmetric(held, Matrix6d::Identity());
}

/// The fit of `moving` on `base`; poses and covariance in the frame of `base`.
/// Both have normals, or none has.
ScanFit fit_on(const Scan& base, const Scan& moving, double least_overlap, const Rng& rng) {
  ScanFit out;
  Alignment& a = out.alignment;
  out.sides_known = base.has_normals();
  a.method = "best-fit";
  const ScanSample sample = sample_scan(moving, kMovingPoints, rng.stream("sample"));
  double base_noise_mm = 0.0;
  Mesh surface = surface_of(base, base_noise_mm, rng);
  double noise_mm = sample.noise_mm;
  if (moving.has_normals()) {
    const Scan cloud = thinned(moving);
    noise_mm = noise_on_faces_mm(sample, cloud, PointIndex(cloud.points_mm));
  }
  out.noise_mm = std::max(noise_mm, base_noise_mm);
  if (sample.size() < kFewestInScan || surface.triangles.cols() == 0) {
    a.doubts.push_back("one of the scans has too few points to find a pose by");
    return out;
  }
  const SurfaceIndex index(std::move(surface));
  const CoarseDesign coarse(index.mesh(), rng.stream("design"));
  const ScanStage stage{sample, index, coarse, std::max(out.noise_mm, own_scatter_mm(base, index))};
  ScanContest contest = hold_scan_contest(stage, coarse_search(sample, coarse));
  if (contest.winner.evidence.overlap < kNearlyAllOfScan) {
    // Little overlap: the right pose may stand far down the list of rough ones.
    ScanContest second =
        hold_scan_contest(stage, coarse_search(sample, coarse, {120, 200, 160, 24}));
    const bool more_equals = contest.equals.empty() && !second.equals.empty();
    if (more_equals || second.winner.evidence.overlap > contest.winner.evidence.overlap)
      contest = std::move(second);
  }
  const SurfaceFit& fit = contest.winner.fit;
  a.T_design_scan = fit.T_design_scan;
  a.rms_mm = contest.winner.evidence.rms_mm;
  a.overlap = std::min(1.0, contest.winner.evidence.overlap);
  a.iterations = fit.iterations;
  a.converged = fit.converged;
  const double reach_mm = std::max(10.0 * fit.sigma_mm, 0.005 * coarse.diagonal_mm);
  auto points = correspond(sample, index, fit.T_design_scan, sample.size(), reach_mm);
  balance_directions(points);
  const Freedom freedom = freedom_of(points, fit.sigma_mm, coarse.box);
  a.information = freedom.information;
  a.standard_error_mm = freedom.standard_error_mm;
  a.free_directions = freedom.free_directions;
  a.scale = freedom.scale;
  out.center_mm = freedom.center_mm;
  const double share = static_cast<double>(sample.size()) / static_cast<double>(base.size());
  out.covariance = (1.0 + share) * (freedom.covariance + covariance_of_noise(freedom, coarse));
  list_rivals(a, coarse, contest);
  judge_pose(a, least_overlap, coarse.diagonal_mm);
  return out;
}

/// Where one scan says nothing of sides, those of the other are of no use.
Scan without_normals(const Scan& scan) {
  Scan out = scan;
  out.normals.resize(3, 0);
  return out;
}

/// From old-on-new to new-on-old: a small motion about a centre turns with the frame; its sign does
/// not matter to a covariance.
void turn_round(ScanFit& fit) {
  const Eigen::Isometry3d T_old_new = fit.alignment.T_design_scan.inverse();
  Matrix6d turn = Matrix6d::Zero();
  turn.topLeftCorner<3, 3>() = T_old_new.linear();
  turn.bottomRightCorner<3, 3>() = T_old_new.linear();
  fit.covariance = turn * fit.covariance * turn.transpose();
  fit.alignment.information = turn * fit.alignment.information * turn.transpose();
  fit.center_mm = T_old_new * fit.center_mm;
  fit.alignment.T_design_scan = T_old_new;
  for (OtherPose& other : fit.alignment.others)
    other.T_design_scan = other.T_design_scan.inverse();
}

}  // namespace

ScanFit align_scans(const Scan& old_scan, const Scan& new_scan, const AlignScansSettings& settings,
                    const Rng& rng) {
  const double cell_mm =
      std::max(1e-6, 0.02 * std::max(bounding_box(old_scan.points_mm).diagonal_mm(),
                                     bounding_box(new_scan.points_mm).diagonal_mm()));
  constexpr double kClearlyLarger = 1.25;
  const bool new_is_base =
      static_cast<double>(cells_passed(new_scan.points_mm, cell_mm)) >
      kClearlyLarger * static_cast<double>(cells_passed(old_scan.points_mm, cell_mm));
  const Scan& base = new_is_base ? new_scan : old_scan;
  const Scan& moving = new_is_base ? old_scan : new_scan;
  ScanFit fit =
      old_scan.has_normals() == new_scan.has_normals()
          ? fit_on(base, moving, settings.least_overlap, rng)
          : fit_on(without_normals(base), without_normals(moving), settings.least_overlap, rng);
  if (new_is_base) turn_round(fit);
  return fit;
}

}  // namespace trammel
