#include "trammel/align/scene_search.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trammel/align/pair_votes.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/curve_order.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/thin_points.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kPointsOnOneSide = 900.0;
constexpr double kPlacesApart = 0.35;   // of the diagonal
constexpr double kReachOfPlace = 0.75;  // of the diagonal: all of a part about whose middle it is
constexpr Index kMostVoters = 1200;
constexpr Index kReferencesOfPlace = 12;  // of a place
constexpr int kPosesPerReference = 6;
constexpr std::size_t kMostOfPlace = 4;
constexpr std::size_t kMostOfScene = 400;
constexpr double kLeastScore = 0.05;

std::vector<int> thinned(const Eigen::Matrix3Xd& points_mm, double cell_mm) {
  return representatives(points_mm, curve_order(points_mm, cell_mm));
}

/// The scan, thinned, as the search sees it.
struct Scene {
  ScanSample sample;  ///< all of it; in no particular order
  double spacing_mm;
  std::optional<PointIndex> index;

  Scene(const Scan& scan, double spacing) : spacing_mm(spacing) {
    constexpr int kNeighbours = 14;
    const std::vector<int> chosen = thinned(scan.points_mm, spacing_mm);
    sample.points_mm = scan.points_mm(Eigen::all, chosen);
    sample.oriented = scan.has_normals();
    if (sample.oriented) {
      sample.normals = scan.normals(Eigen::all, chosen);
    } else {
      sample.normals.resize(3, sample.size());
      const PointIndex all(scan.points_mm);
      for_each_index(chosen.size(), [&](std::size_t i) {
        const auto at = static_cast<Index>(i);
        sample.normals.col(at) =
            plane_through(scan.points_mm, all.nearest(sample.points_mm.col(at), kNeighbours))
                .spread.vectors.col(0);
      });
    }
    index.emplace(sample.points_mm);
  }

  [[nodiscard]] ScanSample part_of(const std::vector<Index>& chosen) const {
    ScanSample out;
    out.points_mm = sample.points_mm(Eigen::all, chosen);
    out.normals = sample.normals(Eigen::all, chosen);
    out.oriented = sample.oriented;
    return out;
  }
};

/// Even over the design: every so many of its samples.
struct DesignPoints {
  Eigen::Matrix3Xd points_mm, normals;
  DesignPoints(const SurfaceSamples& samples, Index count) {
    const Index all = samples.points_mm.cols();
    std::vector<Index> chosen;
    for (Index i = 0; i < std::min(count, all); ++i)
      chosen.push_back(i * all / std::min(count, all));
    points_mm = samples.points_mm(Eigen::all, chosen);
    normals = samples.normals(Eigen::all, chosen);
  }
};

/// Share of the design that the scan has within the tolerance, facing alike.
double found_share(const Scene& scene, const DesignPoints& design, const Eigen::Isometry3d& T,
                   double tolerance_mm) {
  const Eigen::Isometry3d back = T.inverse();
  const SurfaceReach reach{3, tolerance_mm + scene.spacing_mm, tolerance_mm};
  double found = 0.0;
  for (Index i = 0; i < design.points_mm.cols(); ++i) {
    const Vector3d p = back * design.points_mm.col(i), n = back.linear() * design.normals.col(i);
    if (has_surface_at(scene.sample, *scene.index, p, n, reach)) found += 1.0;
  }
  return found / static_cast<double>(std::max<Index>(1, design.points_mm.cols()));
}

/// The points in the design's box, grown by `margin_mm`.
std::vector<Index> numbers_within(const Eigen::Matrix3Xd& points_mm, const Eigen::Isometry3d& T,
                                  const Box& box, double margin_mm) {
  const Eigen::Array3d low = box.low_mm.array() - margin_mm, high = box.high_mm.array() + margin_mm;
  std::vector<Index> chosen;
  for (Index i = 0; i < points_mm.cols(); ++i) {
    const Eigen::Array3d p = (T * points_mm.col(i)).array();
    if ((p >= low).all() && (p <= high).all()) chosen.push_back(i);
  }
  return chosen;
}

/// A stretch of the scene about one point: its first points are the references.
struct Surroundings {
  ScanSample sample;
  Index references;
};

std::vector<Index> spread_of(const std::vector<Index>& from, std::size_t most) {
  const std::size_t count = std::min(from.size(), most);
  std::vector<Index> out;
  for (std::size_t i = 0; i < count; ++i)
    out.push_back(from[i * from.size() / count]);
  return out;
}

Surroundings place_about(const Scene& scene, const Vector3d& middle, double diagonal_mm) {
  std::vector<Index> near, all;
  for (const Neighbour& at : scene.index->within(middle, kReachOfPlace * diagonal_mm)) {
    all.push_back(at.index);
    if (at.distance_mm < 0.5 * kPlacesApart * diagonal_mm) near.push_back(at.index);
  }
  std::vector<Index> chosen = spread_of(near, kReferencesOfPlace);
  Surroundings out;
  out.references = static_cast<Index>(chosen.size());
  // From a list by distance, strides of a prime make the first few an even part.
  const std::size_t stride = 7919;
  const std::vector<Index> others = spread_of(all, kMostVoters);
  for (std::size_t i = 0; i < others.size(); ++i)
    chosen.push_back(others[(i * stride) % others.size()]);
  out.sample = scene.part_of(chosen);
  return out;
}

/// All that scoring a pose needs.
struct Scorer {
  const Scene& scene;
  const CoarseDesign& design;

  [[nodiscard]] double score(const ScanSample& about, const Eigen::Isometry3d& T,
                             const DesignPoints& points, double tolerance_mm) const {
    const double found = found_share(scene, points, T, tolerance_mm);
    if (found < kLeastScore) return 0.0;
    const auto inside =
        spread_of(numbers_within(about.points_mm, T, design.box, tolerance_mm), 400);
    if (inside.empty()) return 0.0;
    ScanSample part;
    part.points_mm = about.points_mm(Eigen::all, inside);
    part.normals = about.normals(Eigen::all, inside);
    part.oriented = about.oriented;
    return found * rough_score(part, design.field, T, part.size(), 2.0 * tolerance_mm);
  }
};

std::vector<RoughPose> guesses_at(const Scorer& scorer, const PairVotes& votes,
                                  const Surroundings& place) {
  PairVoteSettings settings;
  settings.reference_points = place.references;
  settings.scan_points = place.sample.size();
  settings.poses_per_reference = kPosesPerReference;
  const DesignPoints few(scorer.design.sparse, 100);
  std::vector<RoughPose> found;
  for (const Eigen::Isometry3d& T : votes.poses(place.sample, settings)) {
    const double score = scorer.score(place.sample, T, few, 0.03 * scorer.design.diagonal_mm);
    if (score > kLeastScore) found.push_back({T, score});
  }
  return best_distinct(std::move(found), scorer.design.box, 0.08 * scorer.design.diagonal_mm,
                       kMostOfPlace, scorer.design.round);
}

/// Tolerances as in the ordinary search.
std::vector<RoughPose> improved_in_scene(const Scorer& scorer, const std::vector<RoughPose>& poses,
                                         const RoughFitSettings& settings) {
  const DesignPoints points(scorer.design.sparse, 400);
  std::vector<RoughPose> result(poses.size());
  for_each_index(
      poses.size(),
      [&](std::size_t i) {
        const Eigen::Isometry3d& start = poses[i].T_design_scan;
        const auto inside = numbers_within(scorer.scene.sample.points_mm, start, scorer.design.box,
                                           2.0 * settings.first_tolerance_mm);
        const ScanSample about =
            scorer.scene.part_of(spread_of(inside, static_cast<std::size_t>(settings.points)));
        if (about.size() == 0) return;
        const Eigen::Isometry3d T = rough_fit(about, scorer.design.field, start, settings);
        const ScanSample there = scorer.scene.part_of(numbers_within(
            scorer.scene.sample.points_mm, T, scorer.design.box, 2.0 * settings.last_tolerance_mm));
        result[i] = {T, scorer.score(there, T, points, settings.last_tolerance_mm)};
      },
      1);
  return result;
}

}  // namespace

Scan cut_out(const Scan& scan, const Eigen::Isometry3d& T_design_scan, const Box& box,
             double margin_mm) {
  const std::vector<Index> chosen = numbers_within(scan.points_mm, T_design_scan, box, margin_mm);
  Scan out;
  out.name = scan.name;
  out.from_mesh = scan.from_mesh;
  out.points_mm = scan.points_mm(Eigen::all, chosen);
  if (scan.has_normals()) out.normals = scan.normals(Eigen::all, chosen);
  return out;
}

std::vector<RoughPose> search_scene(const Scan& scan, const CoarseDesign& design,
                                    std::size_t most_poses) {
  if (scan.size() == 0) return {};
  const double diagonal = design.diagonal_mm;
  const double spacing_mm = std::sqrt(0.5 * design.area_mm2 / kPointsOnOneSide);
  const Scene scene(scan, spacing_mm);
  const Scorer scorer{scene, design};
  const PairVotes votes(design.sparse, diagonal, design.sparse.points_mm.cols());
  const std::vector<int> middles = thinned(scene.sample.points_mm, kPlacesApart * diagonal);
  std::vector<std::vector<RoughPose>> found(middles.size());
  for_each_index(
      middles.size(),
      [&](std::size_t i) {
        found[i] = guesses_at(scorer, votes,
                              place_about(scene, scene.sample.points_mm.col(middles[i]), diagonal));
      },
      1);
  std::vector<RoughPose> poses;
  for (const auto& some : found)
    poses.insert(poses.end(), some.begin(), some.end());
  poses = best_distinct(std::move(poses), design.box, 0.08 * diagonal, kMostOfScene, design.round);
  poses = improved_in_scene(scorer, poses, {250, 14, 0.06 * diagonal, 0.02 * diagonal});
  poses = best_distinct(std::move(poses), design.box, 0.03 * diagonal, 150, design.round);
  poses = improved_in_scene(scorer, poses, {900, 12, 0.02 * diagonal, 0.008 * diagonal});
  return best_distinct(std::move(poses), design.box, 0.01 * diagonal, most_poses, design.round);
}

}  // namespace trammel
