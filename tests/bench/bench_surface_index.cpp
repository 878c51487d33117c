/// Closest points on a mesh: the surface index against CGAL's AABB tree and, where it is installed,
/// Open3D's RaycastingScene, on the same points with the same number of threads.
///
///   bench_surface_index [threads [points]]
///
/// By default on all threads and with a million points. n is triangles for a build and queries for
/// the rest. Every peer's distances are checked against the index's, so that what is timed is the
/// same work.

#include <cmath>
#include <cstdlib>
#include <iostream>
#include <string>
#include <vector>

#include "bench/bench_table.hpp"
#include "bench/closest_peers.hpp"
#include "bench/wavy_housing.hpp"
#include "trammel/base/large_pages.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/curve_order.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace {

using namespace trammel;

constexpr double kWithin_mm = 1.0;

/// Peers take minutes for ten million points.
int runs_for(std::size_t points) {
  return points > 2000000 ? 3 : bench::kRuns;
}

/// In random order, as far from the surface as a scan's points are.
Eigen::Matrix3Xd points_near(const Mesh& mesh, std::size_t count) {
  Rng rng(11);
  const SurfaceSamples on = sample_surface(mesh, count, rng.stream("samples"));
  Eigen::Matrix3Xd points = on.points_mm;
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    points.col(i) += rng.uniform(-kWithin_mm, kWithin_mm) * on.normals.col(i);
  for (Eigen::Index i = points.cols() - 1; i > 0; --i)
    points.col(i).swap(
        points.col(static_cast<Eigen::Index>(rng.index(static_cast<std::size_t>(i) + 1))));
  return points;
}

/// Sorted within the time: a check keeps its scan in the order of its places.
/// @param ask  of a point and what was found for the one before
template <typename Ask>
std::vector<SurfacePoint> nearest_of(const Eigen::Matrix3Xd& points, const Ask& ask) {
  const std::vector<std::uint32_t> order = curve_order(points).order;
  auto sorted = large_vector<Eigen::Vector3d>(order.size());
  for_each_index(order.size(), [&](std::size_t n) { sorted[n] = points.col(order[n]); });
  auto out = large_vector<SurfacePoint>(order.size());
  for_each_chunk(order.size(), 1024, [&](std::size_t begin, std::size_t end) {
    SurfacePoint last;
    for (std::size_t n = begin; n < end; ++n) {
      last = ask(sorted[n], last);
      out[order[n]] = last;
    }
  });
  return out;
}

/// What the index found, and what a peer is measured against.
struct Ours {
  double build_ms, query_ms, warm_ms;
  std::vector<SurfacePoint> nearest;
};

Ours run_ours(const Mesh& mesh, const Eigen::Matrix3Xd& points, int threads,
              const std::string& size) {
  const auto faces = static_cast<std::size_t>(mesh.triangles.cols());
  const std::vector<double> build = bench::times_ms([&] { const SurfaceIndex made(mesh); });
  bench::print_row("trammel build " + size, faces, threads, build);
  const SurfaceIndex index(mesh);
  Ours ours;
  ours.build_ms = quantile(build, 0.5);
  const auto median_of = [&](const std::string& name, const auto& ask) {
    const auto times = bench::times_ms([&] { ours.nearest = nearest_of(points, ask); },
                                       runs_for(static_cast<std::size_t>(points.cols())));
    bench::print_row("trammel " + name + " " + size, ours.nearest.size(), threads, times);
    return quantile(times, 0.5);
  };
  ours.query_ms = median_of(
      "nearest", [&](const Eigen::Vector3d& p, const SurfacePoint&) { return index.nearest(p); });
  (void)median_of("nearest within 1 mm", [&](const Eigen::Vector3d& p, const SurfacePoint&) {
    return index.nearest(p, 1.001 * kWithin_mm);
  });
  ours.warm_ms = median_of("nearest from the last foot",
                           [&](const Eigen::Vector3d& p, const SurfacePoint& last) {
                             return index.nearest(p, no_farther_than_mm(last, p));
                           });
  return ours;
}

void print_ratio(const std::string& peer, const Ours& ours, const Eigen::Matrix3Xd& points,
                 const Eigen::Matrix3Xd& feet, double build_ms, double query_ms) {
  double apart_mm = 0.0;
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    apart_mm = std::max(apart_mm, std::abs((feet.col(i) - points.col(i)).norm() -
                                           ours.nearest[static_cast<std::size_t>(i)].distance_mm));
  std::cout << "# " << peer << " / trammel: build " << fixed(build_ms / ours.build_ms, 2)
            << ", queries " << fixed(query_ms / ours.query_ms, 2) << ", from the last foot "
            << fixed(query_ms / ours.warm_ms, 2) << ", and with the build "
            << fixed((build_ms + query_ms) / (ours.build_ms + ours.warm_ms), 2)
            << " (over 1: trammel is faster); distances differ by at most " << shortest(apart_mm)
            << " mm" << std::endl;
}

void run_cgal(const Mesh& mesh, const Eigen::Matrix3Xd& points, int threads,
              const std::string& size, const Ours& ours) {
  const auto faces = static_cast<std::size_t>(mesh.triangles.cols());
  const auto build = bench::times_ms([&] { const bench::CgalPeer made(mesh); });
  bench::print_row("CGAL build " + size, faces, threads, build);
  const bench::CgalPeer peer(mesh);
  Eigen::Matrix3Xd feet;
  const std::size_t count = ours.nearest.size();
  const auto query = bench::times_ms([&] { feet = peer.feet(points); }, runs_for(count));
  bench::print_row("CGAL nearest " + size, count, threads, query);
  print_ratio("CGAL", ours, points, feet, quantile(build, 0.5), quantile(query, 0.5));
}

#ifdef TRAMMEL_BENCH_OPEN3D
void run_open3d(const Mesh& mesh, const Eigen::Matrix3Xd& points, int threads,
                const std::string& size, const Ours& ours) {
  const auto faces = static_cast<std::size_t>(mesh.triangles.cols());
  // The scene is built at the first query.
  const auto build = bench::times_ms([&] {
    bench::Open3dPeer made(mesh);
    made.take_queries(points.leftCols(1));
    made.run_queries(threads);
  });
  bench::print_row("Open3D build " + size, faces, threads, build);
  bench::Open3dPeer peer(mesh);
  peer.take_queries(points);
  const std::size_t count = ours.nearest.size();
  const auto query = bench::times_ms([&] { peer.run_queries(threads); }, runs_for(count));
  bench::print_row("Open3D nearest " + size, count, threads, query);
  print_ratio("Open3D", ours, points, peer.feet(), quantile(build, 0.5), quantile(query, 0.5));
}
#endif

}  // namespace

int main(int argc, char** argv) {
  const int threads = argc > 1 ? std::atoi(argv[1]) : bench::machine_threads();
  const auto count = static_cast<std::size_t>(argc > 2 ? std::atoll(argv[2]) : 1000000);
  const ThreadLimit limit(threads);
  bench::print_header();
  for (const Eigen::Index least : {20000, 2000000}) {
    const Mesh mesh = bench::wavy_housing(least);
    const std::string size = "(" + grouped(mesh.triangles.cols()) + " triangles)";
    // Commas would break the table.
    std::string plain = size;
    plain.erase(std::remove(plain.begin(), plain.end(), ','), plain.end());
    const Eigen::Matrix3Xd points = points_near(mesh, count);
    const Ours ours = run_ours(mesh, points, threads, plain);
    run_cgal(mesh, points, threads, plain, ours);
#ifdef TRAMMEL_BENCH_OPEN3D
    run_open3d(mesh, points, threads, plain, ours);
#else
    std::cout << "# Open3D is not installed: not measured" << std::endl;
#endif
  }
}
