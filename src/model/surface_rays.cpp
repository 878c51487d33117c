#include "trammel/model/surface_rays.hpp"

#include <embree3/rtcore.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <array>
#include <limits>
#include <new>

#include "trammel/base/error.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct SurfaceRays::Scene {
  RTCDevice device = nullptr;
  RTCScene scene = nullptr;
  Eigen::Vector3d origin_mm = Eigen::Vector3d::Zero();  ///< floats count from here
  double clearance_mm = 0.0;  ///< so far off the surface a visibility ray starts
  ~Scene() {
    if (scene != nullptr) rtcReleaseScene(scene);
    if (device != nullptr) rtcReleaseDevice(device);
  }
};

namespace {

/// From here on a tree is built for less: in a third of the time, and is a quarter slower to ask. A
/// check asks for some pictures' worth of rays.
constexpr Eigen::Index kManyCells = 500'000;

void fill_geometry(RTCGeometry geometry, const SurfaceCells& cells, const Eigen::Vector3d& origin) {
  const auto points = static_cast<std::size_t>(cells.vertices_mm.cols());
  const auto faces = static_cast<std::size_t>(cells.size());
  auto* xyz = static_cast<float*>(rtcSetNewGeometryBuffer(
      geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float), points));
  auto* corners = static_cast<unsigned*>(rtcSetNewGeometryBuffer(
      geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(unsigned), faces));
  if (xyz == nullptr || corners == nullptr) throw std::bad_alloc();
  for (Eigen::Index i = 0; i < cells.vertices_mm.cols(); ++i) {
    for (int k = 0; k < 3; ++k)
      *xyz++ = static_cast<float>(cells.vertices_mm(k, i) - origin[k]);
  }
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    for (int k = 0; k < 3; ++k)
      *corners++ = static_cast<unsigned>(cells.cells(k, c));
  }
}

RTCRay ray_along(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) {
  RTCRay ray{};
  ray.org_x = static_cast<float>(from.x());
  ray.org_y = static_cast<float>(from.y());
  ray.org_z = static_cast<float>(from.z());
  ray.dir_x = static_cast<float>(direction.x());
  ray.dir_y = static_cast<float>(direction.y());
  ray.dir_z = static_cast<float>(direction.z());
  ray.tnear = 0.0F;
  ray.tfar = std::numeric_limits<float>::infinity();
  ray.mask = ~0U;  // 0 would meet nothing
  return ray;
}

void set_lane(RTCRayHit8& query, std::size_t lane, const Eigen::Vector3d& from,
              const Eigen::Vector3d& direction) {
  query.ray.org_x[lane] = static_cast<float>(from.x());
  query.ray.org_y[lane] = static_cast<float>(from.y());
  query.ray.org_z[lane] = static_cast<float>(from.z());
  query.ray.dir_x[lane] = static_cast<float>(direction.x());
  query.ray.dir_y[lane] = static_cast<float>(direction.y());
  query.ray.dir_z[lane] = static_cast<float>(direction.z());
  query.ray.tfar[lane] = std::numeric_limits<float>::infinity();
  query.ray.mask[lane] = ~0U;  // 0 would meet nothing
  query.hit.geomID[lane] = RTC_INVALID_GEOMETRY_ID;
}

}  // namespace

SurfaceRays::SurfaceRays(const SurfaceCells& cells) : scene_(std::make_unique<Scene>()) {
  scene_->device = rtcNewDevice("set_affinity=0");
  // A processor that is too old is told apart; all else that hinders it is a lack of memory.
  TRAMMEL_CHECK(
      scene_->device != nullptr || rtcGetDeviceError(nullptr) != RTC_ERROR_UNSUPPORTED_CPU,
      "Embree must start");
  if (scene_->device == nullptr) throw std::bad_alloc();
  scene_->scene = rtcNewScene(scene_->device);
  rtcSetSceneFlags(scene_->scene, RTC_SCENE_FLAG_ROBUST);
  if (cells.size() >= kManyCells) rtcSetSceneBuildQuality(scene_->scene, RTC_BUILD_QUALITY_LOW);
  const Box box = bounding_box(cells.vertices_mm);
  scene_->origin_mm = box.center_mm();
  scene_->clearance_mm = 1e-4 * box.diagonal_mm();
  if (cells.size() > 0) {
    RTCGeometry geometry = rtcNewGeometry(scene_->device, RTC_GEOMETRY_TYPE_TRIANGLE);
    fill_geometry(geometry, cells, scene_->origin_mm);
    if (cells.size() >= kManyCells) rtcSetGeometryBuildQuality(geometry, RTC_BUILD_QUALITY_LOW);
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_->scene, geometry);
    rtcReleaseGeometry(geometry);
  }
  // One building thread: the tree, and so every tie between cells, is the same on any machine. A
  // device of one thread would hold all of TBB to one for as long as it lives.
  tbb::task_arena(1).execute([this] { rtcCommitScene(scene_->scene); });
  // Embree throws nothing: without this, a picture would show nothing where memory was short.
  if (rtcGetDeviceError(scene_->device) != RTC_ERROR_NONE) throw std::bad_alloc();
}

SurfaceRays::~SurfaceRays() = default;

SurfaceRays::Hit SurfaceRays::first_hit(const Eigen::Vector3d& from_mm,
                                        const Eigen::Vector3d& direction) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  RTCRayHit query{};
  query.ray = ray_along(from_mm - scene_->origin_mm, direction);
  query.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  rtcIntersect1(scene_->scene, &context, &query);
  if (query.hit.geomID == RTC_INVALID_GEOMETRY_ID) return {};
  return {static_cast<int>(query.hit.primID), query.hit.u, query.hit.v,
          static_cast<double>(query.ray.tfar)};
}

void SurfaceRays::first_hits(const Eigen::Matrix3Xd& from_mm, const Eigen::Vector3d& direction,
                             std::vector<Hit>& out) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  context.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
  out.resize(static_cast<std::size_t>(from_mm.cols()));
  for (Eigen::Index first = 0; first < from_mm.cols(); first += 8) {
    alignas(32) RTCRayHit8 query{};
    alignas(32) std::array<int, 8> valid{};
    const auto count = static_cast<std::size_t>(std::min<Eigen::Index>(8, from_mm.cols() - first));
    for (std::size_t lane = 0; lane < count; ++lane) {
      valid[lane] = -1;
      const auto i = first + static_cast<Eigen::Index>(lane);
      set_lane(query, lane, from_mm.col(i) - scene_->origin_mm, direction);
    }
    rtcIntersect8(valid.data(), scene_->scene, &context, &query);
    for (std::size_t lane = 0; lane < count; ++lane) {
      Hit& hit = out[static_cast<std::size_t>(first) + lane];
      hit = {};
      if (query.hit.geomID[lane] == RTC_INVALID_GEOMETRY_ID) continue;
      hit = {static_cast<int>(query.hit.primID[lane]), query.hit.u[lane], query.hit.v[lane],
             static_cast<double>(query.ray.tfar[lane])};
    }
  }
}

bool SurfaceRays::is_clear(const Eigen::Vector3d& on_surface_mm, const Eigen::Vector3d& normal,
                           const Eigen::Vector3d& towards) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  const Eigen::Vector3d from =
      on_surface_mm - scene_->origin_mm + scene_->clearance_mm * (normal + towards);
  RTCRay ray = ray_along(from, towards);
  rtcOccluded1(scene_->scene, &context, &ray);
  return ray.tfar >= 0.0F;  // Embree sets −inf when something is in the way
}

std::shared_ptr<const SurfaceRays> rays_of(const SurfaceCells& cells) {
  return cells.rays ? cells.rays : std::make_shared<const SurfaceRays>(cells);
}

}  // namespace trammel
