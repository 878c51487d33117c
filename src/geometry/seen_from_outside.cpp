#include "trammel/geometry/seen_from_outside.hpp"

#include <embree3/rtcore.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <new>
#include <utility>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr double kCellShare = 1.0 / 60.0;                 // of the diagonal
constexpr double kLeastHidden = 0.01, kMostHidden = 0.7;  // of the area
constexpr int kDirections = 400;                          // over the sphere, some 10° apart
constexpr std::size_t kSpeakers = 3;
constexpr double kPlaceFlatness = 32.0;  // edges of a place over its height

/// What stands in the way of a ray.
class Obstacles {
 public:
  explicit Obstacles(const Mesh& mesh) : device_(rtcNewDevice("set_affinity=0")) {
    TRAMMEL_CHECK(device_ != nullptr || rtcGetDeviceError(nullptr) != RTC_ERROR_UNSUPPORTED_CPU,
                  "Embree must start");
    if (device_ == nullptr) throw std::bad_alloc();
    scene_ = rtcNewScene(device_);
    rtcSetSceneFlags(scene_, RTC_SCENE_FLAG_ROBUST);
    const Box box = bounding_box(mesh.vertices_mm);
    origin_mm_ = box.center_mm();
    clearance_mm_ = 1e-4 * box.diagonal_mm();
    add(mesh);
    // One building thread: the tree, and so every tie, is the same on any machine.
    tbb::task_arena(1).execute([this] { rtcCommitScene(scene_); });
    // Embree throws nothing: without this, all would be seen where memory was short.
    if (rtcGetDeviceError(device_) != RTC_ERROR_NONE) throw std::bad_alloc();
  }
  ~Obstacles() {
    rtcReleaseScene(scene_);
    rtcReleaseDevice(device_);
  }
  Obstacles(const Obstacles&) = delete;
  Obstacles& operator=(const Obstacles&) = delete;

  /// Does a ray get away that starts a little off the surface? Where another body touches it, the
  /// start lies inside that one, and all rays meet its far side.
  [[nodiscard]] bool is_open(const Eigen::Vector3d& on_surface_mm, const Eigen::Vector3d& normal,
                             const Eigen::Vector3d& direction) const {
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    const Eigen::Vector3f from =
        (on_surface_mm - origin_mm_ + clearance_mm_ * normal).cast<float>();
    const Eigen::Vector3f way = direction.cast<float>();
    RTCRay ray{};
    ray.org_x = from.x();
    ray.org_y = from.y();
    ray.org_z = from.z();
    ray.dir_x = way.x();
    ray.dir_y = way.y();
    ray.dir_z = way.z();
    ray.tfar = std::numeric_limits<float>::infinity();
    ray.mask = ~0U;  // 0 would meet nothing
    rtcOccluded1(scene_, &context, &ray);
    return ray.tfar >= 0.0F;  // Embree sets −inf when something is in the way
  }

 private:
  void add(const Mesh& mesh) {
    RTCGeometry geometry = rtcNewGeometry(device_, RTC_GEOMETRY_TYPE_TRIANGLE);
    auto* xyz = static_cast<float*>(rtcSetNewGeometryBuffer(
        geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float),
        static_cast<std::size_t>(mesh.vertices_mm.cols())));
    auto* corners = static_cast<unsigned*>(rtcSetNewGeometryBuffer(
        geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(unsigned),
        static_cast<std::size_t>(mesh.triangles.cols())));
    if (xyz == nullptr || corners == nullptr) throw std::bad_alloc();
    for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i)
      for (int k = 0; k < 3; ++k)
        *xyz++ = static_cast<float>(mesh.vertices_mm(k, i) - origin_mm_[k]);
    for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
      for (int k = 0; k < 3; ++k)
        *corners++ = static_cast<unsigned>(mesh.triangles(k, f));
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_, geometry);
    rtcReleaseGeometry(geometry);
  }

  RTCDevice device_ = nullptr;
  RTCScene scene_ = nullptr;
  Eigen::Vector3d origin_mm_ = Eigen::Vector3d::Zero();  ///< floats count from here
  double clearance_mm_ = 0.0;
};

/// Directions spread evenly over the sphere (Fibonacci lattice).
std::vector<Eigen::Vector3d> all_directions() {
  const double golden_angle = kPi * (3.0 - std::sqrt(5.0));
  std::vector<Eigen::Vector3d> directions;
  for (int i = 0; i < kDirections; ++i) {
    const double z = 1.0 - (2.0 * i + 1.0) / kDirections;
    const double r = std::sqrt(1.0 - z * z);
    directions.emplace_back(r * std::cos(golden_angle * i), r * std::sin(golden_angle * i), z);
  }
  return directions;
}

bool is_seen(const Obstacles& obstacles, const Mesh& mesh, const SurfaceCells& cells,
             Eigen::Index cell, const std::vector<Eigen::Vector3d>& directions) {
  constexpr double kLeastRise = 0.03;
  constexpr std::array<double, 2> kRises{0.03, 0.1};  // tangents of 2° and 6°
  const Eigen::Vector3d at = cells.center_mm.col(cell), normal = cells.normal.col(cell);
  if (obstacles.is_open(at, normal, normal)) return true;
  for (const Eigen::Vector3d& direction : directions)
    if (direction.dot(normal) > kLeastRise && obstacles.is_open(at, normal, direction)) return true;
  const auto corner = [&](int k) -> Eigen::Vector3d {
    return mesh.vertices_mm.col(mesh.triangles(k % 3, cells.triangle[cell]));
  };
  for (int k = 0; k < 3; ++k) {
    const Eigen::Vector3d edge = (corner(k + 1) - corner(k)).normalized();
    for (const double rise : kRises)
      for (const double sense : {1.0, -1.0})
        if (obstacles.is_open(at, normal, (sense * edge + rise * normal).normalized())) return true;
  }
  return false;
}

using Member = std::pair<std::uint64_t, Eigen::Index>;  ///< place, cell

/// Cells by the place they lie in and the way they face. Places are flat: the upper faces of two
/// sheets are two.
std::vector<Member> by_place(const SurfaceCells& cells, double edge_mm) {
  const Eigen::Vector3d corner = cells.center_mm.rowwise().minCoeff();
  std::vector<Member> members(static_cast<std::size_t>(cells.size()));
  for_each_index(members.size(), [&](std::size_t i) {
    const auto c = static_cast<Eigen::Index>(i);
    Eigen::Index axis = 0;
    cells.normal.col(c).cwiseAbs().maxCoeff(&axis);
    auto key = static_cast<std::uint64_t>(axis + (cells.normal(axis, c) < 0.0 ? 3 : 0));
    for (Eigen::Index k = 0; k < 3; ++k) {
      const double steps = (cells.center_mm(k, c) - corner[k]) / edge_mm;
      key = (key << 16U) + static_cast<std::uint64_t>(k == axis ? steps * kPlaceFlatness : steps);
    }
    members[i] = {key, c};
  });
  std::sort(members.begin(), members.end());
  return members;
}

/// Where each place begins, and where the last ends.
std::vector<std::size_t> borders_of(const std::vector<Member>& members) {
  std::vector<std::size_t> borders;
  for (std::size_t i = 0; i < members.size(); ++i)
    if (i == 0 || members[i].first != members[i - 1].first) borders.push_back(i);
  borders.push_back(members.size());
  return borders;
}

}  // namespace

std::vector<std::uint8_t> cells_seen_from_outside(const Mesh& mesh, const SurfaceCells& cells) {
  std::vector<std::uint8_t> seen(static_cast<std::size_t>(cells.size()), 0);
  if (cells.size() == 0) return seen;
  const Obstacles obstacles(mesh);
  const auto directions = all_directions();
  const auto members =
      by_place(cells, std::max(1e-9, kCellShare * bounding_box(mesh.vertices_mm).diagonal_mm()));
  const auto borders = borders_of(members);
  for_each_index(
      borders.size() - 1,
      [&](std::size_t g) {
        const std::size_t begin = borders[g], end = borders[g + 1];
        const std::size_t step = (end - begin + kSpeakers - 1) / kSpeakers;
        bool any = false;
        for (std::size_t i = begin; i < end && !(any && step > 1); i += step) {
          const Eigen::Index cell = members[i].second;
          const bool is_open = is_seen(obstacles, mesh, cells, cell, directions);
          seen[static_cast<std::size_t>(cell)] = is_open ? 1 : 0;
          any = any || is_open;
        }
        if (step == 1 || !any) return;
        for (std::size_t i = begin; i < end; ++i)
          seen[static_cast<std::size_t>(members[i].second)] = 1;
      },
      64);
  return seen;
}

std::optional<Mesh> seen_from_outside(const Mesh& mesh) {
  const double diagonal_mm = bounding_box(mesh.vertices_mm).diagonal_mm();
  if (!(diagonal_mm > 0.0)) return std::nullopt;
  const CellTree tree(mesh, kCellShare * diagonal_mm);
  const SurfaceCells& cells = tree.cells();
  const auto seen = cells_seen_from_outside(mesh, cells);

  double hidden_mm2 = 0.0;
  std::vector<std::uint8_t> whole(static_cast<std::size_t>(mesh.triangles.cols()), 1);
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    if (seen[static_cast<std::size_t>(c)] != 0) continue;
    hidden_mm2 += cells.area_mm2[c];
    whole[static_cast<std::size_t>(cells.triangle[c])] = 0;
  }
  const double share = hidden_mm2 / cells.area_mm2.sum();
  if (!(share >= kLeastHidden && share <= kMostHidden)) return std::nullopt;

  std::vector<Eigen::Vector3i> kept;
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
    if (whole[static_cast<std::size_t>(f)] != 0) kept.emplace_back(mesh.triangles.col(f));
  for (Eigen::Index c = 0; c < cells.size(); ++c)
    if (seen[static_cast<std::size_t>(c)] != 0 &&
        whole[static_cast<std::size_t>(cells.triangle[c])] == 0)
      kept.emplace_back(cells.cells.col(c));

  Mesh out;
  out.name = mesh.name;
  out.vertices_mm = cells.vertices_mm;
  out.triangles.resize(3, static_cast<Eigen::Index>(kept.size()));
  for (std::size_t i = 0; i < kept.size(); ++i)
    out.triangles.col(static_cast<Eigen::Index>(i)) = kept[i];
  return out;
}

}  // namespace trammel
