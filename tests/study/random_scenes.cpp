#include "study/random_scenes.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel::test {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kLength_mm = 600, kWidth_mm = 500;

/// Height of the panel's upper face.
struct Ground {
  double rise_mm = 0.0, x_wave_mm = 200.0, y_wave_mm = 200.0, thickness_mm = 2.0;
  [[nodiscard]] double bulge(double x, double y) const {
    return rise_mm * std::sin(x / x_wave_mm) * std::cos(y / y_wave_mm);
  }
  [[nodiscard]] double top(double x, double y) const { return thickness_mm + bulge(x, y); }
};

Mesh ground_mesh(const Ground& ground) {
  return displaced(refined(plate(kLength_mm, kWidth_mm, ground.thickness_mm), 15.0),
                   [&](const Vector3d& p) { return Vector3d(0, 0, ground.bulge(p.x(), p.y())); });
}

/// An angle section: two legs at right angles, no holes.
Mesh angle_section(double leg_a, double leg_b, double thickness, double length) {
  return extrude({{{0, 0},
                   {leg_a, 0},
                   {leg_a, thickness},
                   {thickness, thickness},
                   {thickness, leg_b},
                   {0, leg_b}}},
                 length);
}

/// One thing, its foot about the origin.
Mesh random_thing(Rng& rng) {
  switch (rng.index(6)) {
    case 0: {
      const Vector3d size(rng.uniform(25, 140), rng.uniform(25, 140), rng.uniform(15, 90));
      return box(Vector3d::Zero(), size);
    }
    case 1:
      return box(Vector3d::Zero(),
                 {rng.uniform(100, 320), rng.uniform(2, 6), rng.uniform(30, 100)});
    case 2: return cylinder(rng.uniform(7, 28), rng.uniform(50, 260), 48);
    case 3:
      return angle_section(rng.uniform(30, 90), rng.uniform(30, 90), rng.uniform(2, 5),
                           rng.uniform(40, 260));
    case 4: {
      const double width = rng.uniform(60, 130), depth = rng.uniform(50, 110);
      return plate(width, depth, rng.uniform(2, 6),
                   {{Vector2d(0.3 * width, 0.3 * depth), rng.uniform(6, 14)},
                    {Vector2d(0.7 * width, 0.6 * depth), rng.uniform(6, 25)}});
    }
    default: {
      const double width = rng.uniform(80, 200), depth = rng.uniform(60, 160);
      const double rise = rng.uniform(5, 25);
      return displaced(refined(plate(width, depth, 1.5), 10.0), [=](const Vector3d& p) {
        return Vector3d(0, 0, rise * std::sin(kPi * p.x() / width) * std::cos(p.y() / depth));
      });
    }
  }
}

/// Square to the panel, or askew in one of four.
Eigen::Isometry3d random_stand(Rng& rng) {
  Eigen::Isometry3d stand = Eigen::Isometry3d::Identity();
  if (rng.index(4) == 0) {
    stand.linear() = rng.rotation().toRotationMatrix();
    return stand;
  }
  stand.rotate(Eigen::AngleAxisd(rng.uniform(0, 2.0 * kPi), Vector3d::UnitZ()));
  stand.rotate(Eigen::AngleAxisd(0.5 * kPi * static_cast<double>(rng.index(4)), Vector3d::UnitX()));
  return stand;
}

std::vector<Vector3d> views_from_above() {
  std::vector<Vector3d> views;
  for (const Vector3d& view : spread_directions(40))
    if (view.z() > -0.15) views.push_back(view);
  return views;
}

/// The scanner asks for points on all that is given to it: here that is the whole scene.
VirtualScan scanned(const Mesh& mesh, std::size_t points, const std::vector<Vector3d>& views,
                    const Rng& rng) {
  ScannerSettings settings;
  settings.views = views.empty() ? views_from_above() : views;
  settings.points = points;
  return scan_of(mesh, settings, rng);
}

double radius_of(const Mesh& part) {
  return 0.5 * bounding_box(part.vertices_mm).diagonal_mm();
}

}  // namespace

RandomScene random_scene(double free_radius_mm, Rng rng) {
  Ground ground;
  if (rng.index(2) == 0) ground.rise_mm = rng.uniform(10, 40);
  ground.x_wave_mm = rng.uniform(120, 250);
  ground.y_wave_mm = rng.uniform(120, 250);
  const Vector2d free(rng.uniform(0.3, 0.7) * kLength_mm, rng.uniform(0.3, 0.7) * kWidth_mm);
  RandomScene scene;
  scene.free_place_mm = Vector3d(free.x(), free.y(), ground.top(free.x(), free.y()));
  std::vector<Mesh> meshes{ground_mesh(ground)};
  const std::size_t things = 5 + rng.index(5);
  for (int tries = 0; tries < 400 && meshes.size() <= things; ++tries) {
    const Mesh thing = moved(random_thing(rng), random_stand(rng));
    const Box extent = bounding_box(thing.vertices_mm);
    const Vector2d at(rng.uniform(0, kLength_mm), rng.uniform(0, kWidth_mm));
    const double radius = 0.5 * extent.size_mm().head<2>().norm();
    if ((at - free).norm() < free_radius_mm + radius) continue;
    Eigen::Isometry3d place = Eigen::Isometry3d::Identity();
    place.translation() =
        Vector3d(at.x(), at.y(), ground.top(at.x(), at.y()) - 0.5) -
        Vector3d(extent.center_mm().x(), extent.center_mm().y(), extent.low_mm.z());
    meshes.push_back(moved(thing, place));
  }
  scene.mesh = together(meshes);
  return scene;
}

SceneScan scan_in_scene(const Mesh& part, std::size_t points, const Rng& rng,
                        const std::vector<Vector3d>& views) {
  const RandomScene scene = random_scene(radius_of(part), rng.stream("scene"));
  Rng place = rng.stream("place");
  Eigen::Isometry3d T_scene_part = Eigen::Isometry3d::Identity();
  T_scene_part.linear() = place.rotation().toRotationMatrix();
  const Box turned = bounding_box(moved(part, T_scene_part).vertices_mm);
  const Vector3d foot(turned.center_mm().x(), turned.center_mm().y(), turned.low_mm.z());
  T_scene_part.translation() = scene.free_place_mm - foot + Vector3d(0, 0, place.uniform(0, 5));
  const VirtualScan made =
      scanned(together({scene.mesh, moved(part, T_scene_part)}), points, views, rng.stream("scan"));
  SceneScan out;
  out.scan = made.scan;
  out.T_design_scan = T_scene_part.inverse() * made.T_design_scan;
  const SurfaceIndex index(part);
  double near = 0.0;
  for (Eigen::Index i = 0; i < out.scan.size(); ++i)
    near += index.nearest(out.T_design_scan * out.scan.points_mm.col(i), 0.3).found() ? 1.0 : 0.0;
  out.part_share = near / static_cast<double>(out.scan.size());
  return out;
}

SceneScan scan_of_scene_without(const Mesh& part, std::size_t points, const Rng& rng,
                                const std::vector<Vector3d>& views) {
  SceneScan out;
  const RandomScene scene = random_scene(radius_of(part), rng.stream("scene"));
  out.scan = scanned(scene.mesh, points, views, rng.stream("scan")).scan;
  return out;
}

}  // namespace trammel::test
