#include "trammel/geometry/flat_faces.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <utility>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kAntiparallel = -0.99985;  // one degree
constexpr double kLikeArea = 1.6;
/// Of a wall's half sides: how far the middles of its two faces may lie apart across it.
constexpr double kMostBeside = 0.35;

class FaceGrower {
  static constexpr int kNoPatch = -1;

 public:
  FaceGrower(const Mesh& design, const EdgeNeighbours& neighbours, const FlatFaceSettings& settings)
      : design_(design),
        across_(neighbours.across),
        least_cosine_(std::cos(settings.flat_deg * kDegree)),
        settings_(settings) {
    normals_.resize(3, design.triangles.cols());
    area_.resize(design.triangles.cols());
    for_each_index(static_cast<std::size_t>(design.triangles.cols()), [&](std::size_t i) {
      const auto f = static_cast<Index>(i);
      const Vector3d twice = area_vector(design, f);
      area_[f] = 0.5 * twice.norm();
      normals_.col(f) = twice.normalized();
    });
  }

  FlatFaces find() {
    std::vector<std::pair<double, int>> order;  // largest first, of equal ones the lowest
    order.reserve(static_cast<std::size_t>(area_.size()));
    for (Index f = 0; f < area_.size(); ++f)
      order.emplace_back(-area_[f], static_cast<int>(f));
    std::sort(order.begin(), order.end());
    patch_.setConstant(area_.size(), kNoPatch);
    std::vector<std::pair<FlatFace, std::vector<int>>> found;
    for (const auto& [minus_area, seed] : order) {
      if (patch_[seed] != kNoPatch || !(minus_area < 0.0)) continue;
      std::vector<int> patch = grown(seed);
      // Curved surfaces are of many small patches, which need no looking at.
      if (area_of(patch) < settings_.least_area_mm2) continue;
      const FlatFace face = described(patch);
      if (face.half_v_mm >= 0.5 * settings_.least_side_mm)
        found.emplace_back(face, std::move(patch));
    }
    return by_area(found);
  }

 private:
  [[nodiscard]] double area_of(const std::vector<int>& patch) const {
    double area_mm2 = 0.0;
    for (const int f : patch)
      area_mm2 += area_[f];
    return area_mm2;
  }

  /// The patch is called by its seed.
  std::vector<int> grown(int seed) {
    const Vector3d normal = normals_.col(seed);
    std::vector<int> patch{seed};
    patch_[seed] = seed;
    for (std::size_t next = 0; next < patch.size(); ++next) {
      for (int k = 0; k < 3; ++k) {
        const int other = across_(k, patch[next]);
        if (other < 0 || patch_[other] != kNoPatch ||
            normals_.col(other).dot(normal) < least_cosine_)
          continue;
        patch_[other] = seed;
        patch.push_back(other);
      }
    }
    return patch;
  }

  [[nodiscard]] Vector3d corner(int f, int k) const {
    return design_.vertices_mm.col(design_.triangles(k % 3, f));
  }

  /// Mean direction of the border modulo a quarter turn: Σ length · e^{4iθ}.
  [[nodiscard]] double border_angle(const std::vector<int>& patch, const Vector3d& x,
                                    const Vector3d& y) const {
    std::complex<double> sum;
    for (const int f : patch) {
      for (int k = 0; k < 3; ++k) {
        const int other = across_(k, f);
        if (other >= 0 && patch_[other] == patch_[f]) continue;
        const Vector3d side = corner(f, k + 1) - corner(f, k);
        sum += std::polar(side.norm(), 4.0 * std::atan2(side.dot(y), side.dot(x)));
      }
    }
    return 0.25 * std::arg(sum);
  }

  [[nodiscard]] FlatFace described(const std::vector<int>& patch) const {
    FlatFace face;
    face.area_mm2 = area_of(patch);
    Vector3d normal = Vector3d::Zero();
    for (const int f : patch)
      normal += area_[f] * normals_.col(f);
    face.normal = normal.normalized();
    const auto [x, y] = across(face.normal);
    const double angle = border_angle(patch, x, y);
    face.u = std::cos(angle) * x + std::sin(angle) * y;
    face.v = face.normal.cross(face.u);
    measure_box(patch, face);
    return face;
  }

  void measure_box(const std::vector<int>& patch, FlatFace& face) const {
    Vector3d low = Vector3d::Constant(HUGE_VAL), high = -low;
    for (const int f : patch) {
      for (int k = 0; k < 3; ++k) {
        const Vector3d p = corner(f, k);
        const Vector3d in_frame(face.u.dot(p), face.v.dot(p), face.normal.dot(p));
        low = low.cwiseMin(in_frame);
        high = high.cwiseMax(in_frame);
      }
    }
    const Vector3d middle = 0.5 * (low + high);
    face.center_mm = middle[0] * face.u + middle[1] * face.v + middle[2] * face.normal;
    face.half_u_mm = 0.5 * (high[0] - low[0]);
    face.half_v_mm = 0.5 * (high[1] - low[1]);
    if (face.half_u_mm >= face.half_v_mm) return;
    std::swap(face.half_u_mm, face.half_v_mm);
    face.u = face.v;
    face.v = face.normal.cross(face.u);
  }

  [[nodiscard]] FlatFaces by_area(std::vector<std::pair<FlatFace, std::vector<int>>>& found) const {
    std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) {
      return a.first.area_mm2 > b.first.area_mm2;
    });
    FlatFaces out;
    out.face_of.setConstant(area_.size(), -1);
    for (const auto& [face, patch] : found) {
      for (const int f : patch)
        out.face_of[f] = static_cast<int>(out.faces.size());
      out.faces.push_back(face);
    }
    return out;
  }

  const Mesh& design_;
  const Eigen::Matrix3Xi& across_;
  double least_cosine_;
  FlatFaceSettings settings_;
  Eigen::Matrix3Xd normals_;
  Eigen::VectorXd area_;
  Eigen::VectorXi patch_;  ///< of each triangle: the patch's first
};

/// Thickness of the wall that the two make, or nothing.
double thickness_between(const FlatFace& a, const FlatFace& b, double thickest_mm) {
  constexpr double kNone = 0.0;
  if (a.normal.dot(b.normal) > kAntiparallel) return kNone;
  const double ratio = a.area_mm2 / b.area_mm2;
  if (ratio > kLikeArea || ratio < 1.0 / kLikeArea) return kNone;
  const Vector3d between = b.center_mm - a.center_mm;
  const double thickness = -between.dot(a.normal);
  if (thickness <= 0.0 || thickness > thickest_mm) return kNone;
  const bool opposite = std::abs(between.dot(a.u)) < kMostBeside * a.half_u_mm &&
                        std::abs(between.dot(a.v)) < kMostBeside * a.half_v_mm;
  return opposite ? thickness : kNone;
}

}  // namespace

FlatFaces find_flat_faces(const Mesh& design, const FlatFaceSettings& settings) {
  return FaceGrower(design, edge_neighbours(design), settings).find();
}

FlatFaces find_flat_faces(const SurfaceIndex& design, const FlatFaceSettings& settings) {
  return FaceGrower(design.mesh(), design.neighbours(), settings).find();
}

std::vector<Wall> find_walls(const std::vector<FlatFace>& faces, double thickest_mm) {
  std::vector<Wall> walls;
  for (std::size_t a = 0; a < faces.size(); ++a) {
    for (std::size_t b = a + 1; b < faces.size(); ++b) {
      const double thickness = thickness_between(faces[a], faces[b], thickest_mm);
      // A wall lies flat: thinner than it is wide.
      if (thickness > 0.0 && thickness < faces[a].half_v_mm) {
        walls.push_back({static_cast<int>(a), static_cast<int>(b), thickness});
      }
    }
  }
  return walls;
}

}  // namespace trammel
