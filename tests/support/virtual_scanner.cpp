#include "support/virtual_scanner.hpp"

#include <embree3/rtcore.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <memory>
#include <string>
#include <utility>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/base/error.hpp"

namespace trammel::test {
namespace {

/// What can be hit: the part, whose triangles come first, then bench and clamp.
struct Scene {
  Mesh mesh;
  Box part_box;
  int part_triangles = 0;
  int bench_triangles = 0;
  [[nodiscard]] bool is_part(int triangle) const { return triangle < part_triangles; }
  [[nodiscard]] bool is_bench(int triangle) const {
    return !is_part(triangle) && triangle < part_triangles + bench_triangles;
  }
};

struct Hit {
  Eigen::Vector3d point_mm, normal;
  bool on_part;
};

/// First hits by Embree. One thread and the plainest instruction set: the same hits everywhere.
class Caster {
 public:
  explicit Caster(const Mesh& mesh)
      : mesh_(mesh),
        device_(rtcNewDevice("threads=1,isa=sse2"), rtcReleaseDevice),
        scene_(rtcNewScene(device_.get()), rtcReleaseScene) {
    RTCGeometry geometry = rtcNewGeometry(device_.get(), RTC_GEOMETRY_TYPE_TRIANGLE);
    fill(geometry);
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_.get(), geometry);
    rtcReleaseGeometry(geometry);
    rtcSetSceneFlags(scene_.get(), RTC_SCENE_FLAG_ROBUST);
    rtcCommitScene(scene_.get());
    TRAMMEL_CHECK(rtcGetDeviceError(device_.get()) == RTC_ERROR_NONE,
                  "Embree must build the scene");
  }

  /// Triangle that the beam meets first, or −1.
  [[nodiscard]] int first(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
    RTCRayHit beam{};
    beam.ray.org_x = static_cast<float>(from.x());
    beam.ray.org_y = static_cast<float>(from.y());
    beam.ray.org_z = static_cast<float>(from.z());
    beam.ray.dir_x = static_cast<float>(direction.x());
    beam.ray.dir_y = static_cast<float>(direction.y());
    beam.ray.dir_z = static_cast<float>(direction.z());
    beam.ray.tfar = std::numeric_limits<float>::infinity();
    beam.ray.mask = ~0U;  // with a mask of 0 nothing is ever hit
    beam.hit.geomID = RTC_INVALID_GEOMETRY_ID;
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    rtcIntersect1(scene_.get(), &context, &beam);
    return beam.hit.geomID == RTC_INVALID_GEOMETRY_ID ? -1 : static_cast<int>(beam.hit.primID);
  }

 private:
  void fill(RTCGeometry geometry) const {
    auto* vertices = static_cast<float*>(rtcSetNewGeometryBuffer(
        geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float),
        static_cast<std::size_t>(mesh_.vertices_mm.cols())));
    Eigen::Map<Eigen::Matrix3Xf>(vertices, 3, mesh_.vertices_mm.cols()) =
        mesh_.vertices_mm.cast<float>();
    auto* corners = static_cast<unsigned*>(rtcSetNewGeometryBuffer(
        geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(unsigned),
        static_cast<std::size_t>(mesh_.triangles.cols())));
    Eigen::Map<Eigen::Matrix<unsigned, 3, Eigen::Dynamic>>(corners, 3, mesh_.triangles.cols()) =
        mesh_.triangles.cast<unsigned>();
  }

  const Mesh& mesh_;
  std::unique_ptr<RTCDeviceTy, void (*)(RTCDevice)> device_;
  std::unique_ptr<RTCSceneTy, void (*)(RTCScene)> scene_;
};

/// Where the beam meets the triangle, in double precision (Embree's own answer is float32). A foot
/// just beside the triangle is put onto its border.
Eigen::Vector3d meeting_point(const Mesh& mesh, int triangle, const Eigen::Vector3d& from,
                              const Eigen::Vector3d& direction) {
  const Eigen::Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, triangle));
  const Eigen::Vector3d b = mesh.vertices_mm.col(mesh.triangles(1, triangle));
  const Eigen::Vector3d c = mesh.vertices_mm.col(mesh.triangles(2, triangle));
  const Eigen::Vector3d n = (b - a).cross(c - a);
  const Eigen::Vector3d p = from + direction * (n.dot(a - from) / n.dot(direction));
  Eigen::Array3d weights(n.dot((b - p).cross(c - p)), n.dot((c - p).cross(a - p)),
                         n.dot((a - p).cross(b - p)));
  weights = weights.max(0.0);
  weights /= weights.sum();
  return weights[0] * a + weights[1] * b + weights[2] * c;
}

/// A plane across the view, as wide as the scene, from which the beams start.
struct BeamPlane {
  Eigen::Vector3d toward_scanner, u, v, middle;
  double half_mm;

  BeamPlane(const Eigen::Vector3d& view, const Box& scene)
      : toward_scanner(view.normalized()),
        u(toward_scanner.unitOrthogonal()),
        v(toward_scanner.cross(u)),
        middle(scene.center_mm() + toward_scanner * scene.diagonal_mm()),
        half_mm(0.5 * scene.diagonal_mm()) {}
};

/// One beam in each cell of a grid, at a random place in it.
template <typename Visit>
void shoot(const Scene& scene, const Caster& caster, const BeamPlane& plane, double pitch_mm,
           double least_cosine, Rng rng, const Visit& visit) {
  const int cells = static_cast<int>(std::ceil(2.0 * plane.half_mm / pitch_mm));
  for (int i = 0; i < cells; ++i) {
    for (int j = 0; j < cells; ++j) {
      const double a = (i + rng.uniform()) * pitch_mm - plane.half_mm;
      const double b = (j + rng.uniform()) * pitch_mm - plane.half_mm;
      const Eigen::Vector3d from = plane.middle + a * plane.u + b * plane.v;
      const int triangle = caster.first(from, -plane.toward_scanner);
      if (triangle < 0) continue;
      const Eigen::Vector3d normal = area_vector(scene.mesh, triangle).normalized();
      if (normal.dot(plane.toward_scanner) < least_cosine) continue;
      if (scene.is_bench(triangle) && normal.z() < 0.5) continue;  // nobody scans under a table
      visit(Hit{meeting_point(scene.mesh, triangle, from, -plane.toward_scanner), normal,
                scene.is_part(triangle)});
    }
  }
}

std::vector<Hit> all_hits(const Scene& scene, const ScannerSettings& settings, const Rng& rng) {
  const Caster caster(scene.mesh);
  const Box whole = bounding_box(scene.mesh.vertices_mm);
  const auto views = settings.views.empty() ? spread_directions(26) : settings.views;
  const double least_cosine = std::cos(settings.grazing_limit_deg * kDegree);
  const auto cast = [&](double pitch_mm, const char* stream, const auto& visit) {
    for (std::size_t k = 0; k < views.size(); ++k) {
      shoot(scene, caster, BeamPlane(views[k], whole), pitch_mm, least_cosine,
            rng.stream(stream + std::to_string(k)), visit);
    }
  };
  // A coarse scan first tells how many hits a pitch yields.
  const double coarse_mm = whole.diagonal_mm() / 64.0;
  std::size_t coarse_hits = 0;
  cast(coarse_mm, "pilot", [&](const Hit& hit) { coarse_hits += hit.on_part ? 1 : 0; });
  if (coarse_hits == 0) return {};
  const double share = static_cast<double>(coarse_hits) / static_cast<double>(settings.points);
  std::vector<Hit> hits;
  cast(coarse_mm * std::sqrt(share), "view", [&](const Hit& hit) { hits.push_back(hit); });
  std::stable_partition(hits.begin(), hits.end(), [](const Hit& hit) { return hit.on_part; });
  return hits;
}

/// A table top, half as wide again as the part, whose surface touches the part's lowest point.
Mesh bench_under(const Box& part) {
  const Eigen::Vector3d margin = 0.25 * part.size_mm() + Eigen::Vector3d::Constant(5.0);
  Eigen::Vector3d low = part.low_mm - margin, high = part.high_mm + margin;
  high.z() = part.low_mm.z();
  low.z() = high.z() - 0.1 * part.diagonal_mm();
  return box(low, high);
}

/// A block that swallows the part's corner farthest along a fixed direction of no symmetry.
Mesh clamp_on(const Mesh& part, const Box& part_box) {
  Eigen::Index corner = 0;
  (Eigen::RowVector3d(1.0, 0.61, 0.23) * part.vertices_mm).maxCoeff(&corner);
  const Eigen::Vector3d reach = Eigen::Vector3d::Constant(0.09 * part_box.diagonal_mm());
  const Eigen::Vector3d center = part.vertices_mm.col(corner);
  return box(center - reach, center + reach);
}

Scene scene_of(const Mesh& part, const ScannerSettings& settings) {
  Scene scene;
  scene.part_box = bounding_box(part.vertices_mm);
  scene.part_triangles = static_cast<int>(part.triangles.cols());
  std::vector<Mesh> meshes{part};
  if (settings.bench) {
    meshes.push_back(bench_under(scene.part_box));
    scene.bench_triangles = static_cast<int>(meshes.back().triangles.cols());
  }
  if (settings.clamp) meshes.push_back(clamp_on(part, scene.part_box));
  scene.mesh = together(meshes);
  return scene;
}

/// `normal` turned by a random angle, `sigma_rad` in each of two directions across it.
Eigen::Vector3d shaken(const Eigen::Vector3d& normal, double sigma_rad, Rng& rng) {
  const Eigen::Vector3d u = normal.unitOrthogonal();
  const Eigen::Vector3d v = normal.cross(u);
  const double along_u = sigma_rad * rng.normal(), along_v = sigma_rad * rng.normal();
  return (normal + along_u * u + along_v * v).normalized();
}

/// Hits with noise, then strays, in the part's own frame.
Scan noisy_scan(const std::vector<Hit>& hits, std::size_t strays, const Box& part_box,
                const ScannerSettings& settings, const Rng& rng) {
  const auto total = static_cast<Eigen::Index>(hits.size() + strays);
  Scan scan;
  scan.name = "virtual";
  scan.points_mm.resize(3, total);
  scan.normals.resize(3, settings.with_normals ? total : 0);
  Rng noise = rng.stream("noise"), turns = rng.stream("normals"), places = rng.stream("strays");
  Eigen::Index i = 0;
  for (const Hit& hit : hits) {
    scan.points_mm.col(i) = hit.point_mm + settings.noise_mm * noise.normal() * hit.normal;
    if (settings.with_normals) {
      scan.normals.col(i) = shaken(hit.normal, settings.normal_noise_deg * kDegree, turns);
    }
    ++i;
  }
  for (; i < total; ++i) {
    for (int k = 0; k < 3; ++k) {
      scan.points_mm(k, i) =
          part_box.center_mm()[k] + part_box.size_mm()[k] * places.uniform(-1.0, 1.0);
    }
    if (settings.with_normals) scan.normals.col(i) = places.direction();
  }
  return scan;
}

Eigen::Isometry3d random_pose(Rng rng) {
  Eigen::Isometry3d pose = Eigen::Isometry3d::Identity();
  pose.linear() = rng.rotation().toRotationMatrix();
  const Eigen::Vector3d direction = rng.direction();
  pose.translation() = direction * rng.uniform(0.0, 500.0);
  return pose;
}

}  // namespace

VirtualScan scan_of(const Mesh& part, const ScannerSettings& settings, Rng rng) {
  const Scene scene = scene_of(part, settings);
  const std::vector<Hit> hits = all_hits(scene, settings, rng);
  VirtualScan out;
  out.on_part = static_cast<std::size_t>(
      std::count_if(hits.begin(), hits.end(), [](const Hit& hit) { return hit.on_part; }));
  const auto strays = static_cast<std::size_t>(
      std::lround(settings.stray_share * static_cast<double>(out.on_part)));
  out.scan = noisy_scan(hits, strays, scene.part_box, settings, rng);

  const Eigen::Isometry3d T_scan_design =
      settings.random_pose ? random_pose(rng.stream("pose")) : Eigen::Isometry3d::Identity();
  out.T_design_scan = T_scan_design.inverse();
  Eigen::Matrix3Xd& points = out.scan.points_mm;
  points = ((T_scan_design.linear() * points).colwise() + T_scan_design.translation()).eval() /
           settings.unit_mm;
  out.scan.normals = (T_scan_design.linear() * out.scan.normals).eval();
  return out;
}

double corner_error_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b, const Box& box) {
  double largest = 0.0;
  for (int k = 0; k < 8; ++k) {
    const Eigen::Vector3d corner((k & 1) ? box.high_mm.x() : box.low_mm.x(),
                                 (k & 2) ? box.high_mm.y() : box.low_mm.y(),
                                 (k & 4) ? box.high_mm.z() : box.low_mm.z());
    largest = std::max(largest, (a * corner - b * corner).norm());
  }
  return largest;
}

}  // namespace trammel::test
