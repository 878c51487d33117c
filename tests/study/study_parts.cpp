#include "study/study_parts.hpp"

#include <cmath>

#include "reference/open_data.hpp"
#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel::test {
namespace {

using Eigen::Vector3d;

/// A place along the elbow's middle line, and the directions of its cross-section there.
struct Station {
  Vector3d center_mm, out;  ///< `out` lies in the plane of the bend; the other one is z
};

std::vector<Station> stations_of_elbow() {
  constexpr double kFirstLeg = 70, kSecondLeg = 40, kBend = 45;
  constexpr int kAlongLeg = 6, kAlongBend = 18;
  std::vector<Station> stations;
  for (int i = 0; i < kAlongLeg; ++i)
    stations.push_back({{kBend, -kFirstLeg + kFirstLeg * i / kAlongLeg, 0}, Vector3d::UnitX()});
  for (int i = 0; i <= kAlongBend; ++i) {
    const double turn = 0.5 * kPi * i / kAlongBend;
    const Vector3d out(std::cos(turn), std::sin(turn), 0);
    stations.push_back({kBend * out, out});
  }
  for (int i = 1; i <= kAlongLeg; ++i)
    stations.push_back({{-kSecondLeg * i / kAlongLeg, kBend, 0}, Vector3d::UnitY()});
  return stations;
}

constexpr int kRound = 48;

std::vector<Vector3d> ring_at(const Station& station, double radius_mm) {
  std::vector<Vector3d> ring;
  for (int k = 0; k < kRound; ++k) {
    const double turn = 2.0 * kPi * k / kRound;
    ring.push_back(station.center_mm +
                   radius_mm * (std::cos(turn) * station.out + std::sin(turn) * Vector3d::UnitZ()));
  }
  return ring;
}

void add_band(SolidBuilder& solid, const std::vector<Vector3d>& from,
              const std::vector<Vector3d>& to, bool outside) {
  for (std::size_t k = 0; k < from.size(); ++k) {
    const std::size_t next = (k + 1) % from.size();
    if (!outside) {
      solid.triangle(from[k], to[next], to[k]);
      solid.triangle(from[k], from[next], to[next]);
    } else {
      solid.triangle(from[k], to[k], to[next]);
      solid.triangle(from[k], to[next], from[next]);
    }
  }
}

void add_open_data(std::vector<StudyPart>& parts, const std::string& name, const std::string& file,
                   Unit unit) {
  const auto path = shared_data(file);
  if (missing(path).empty()) parts.push_back({name, read_design(path, unit).mesh});
}

/// Smooth over some millimetres, mean 0, scatter 1 to a few per cent.
double ripple(const Vector3d& p, const std::vector<Vector3d>& waves,
              const std::vector<double>& phases) {
  double sum = 0.0;
  for (std::size_t k = 0; k < waves.size(); ++k)
    sum += std::sin(waves[k].dot(p) + phases[k]);
  return sum * std::sqrt(2.0 / static_cast<double>(waves.size()));
}

}  // namespace

Mesh panel() {
  const Mesh flat = refined(plate(400, 260, 1.2), 12.0);
  return displaced(flat, [](const Vector3d& p) {
    return Vector3d(0, 0,
                    30.0 * std::sin(p.x() / 150.0) +
                        18.0 * std::sin(p.y() / 120.0) * (1.0 + p.x() / 1300.0) +
                        4.0 * std::sin(p.x() / 60.0) * std::exp(-p.y() / 120.0));
  });
}

Mesh elbow() {
  constexpr double kOuter = 12.5, kInner = 10.5;
  SolidBuilder solid;
  const auto stations = stations_of_elbow();
  for (std::size_t i = 1; i < stations.size(); ++i) {
    add_band(solid, ring_at(stations[i - 1], kOuter), ring_at(stations[i], kOuter), true);
    add_band(solid, ring_at(stations[i - 1], kInner), ring_at(stations[i], kInner), false);
  }
  add_band(solid, ring_at(stations.front(), kInner), ring_at(stations.front(), kOuter), true);
  add_band(solid, ring_at(stations.back(), kInner), ring_at(stations.back(), kOuter), false);
  return solid.build();
}

std::vector<StudyPart> study_parts() {
  std::vector<StudyPart> parts = {{"bracket", bracket()},
                                  {"housing", housing()},
                                  {"flange", flange(), true},
                                  {"panel", panel()},
                                  {"elbow", elbow()}};
  add_open_data(parts, "NIST artifact", "nist-am-artifact/artifact.stl", Unit::Mm);
  add_open_data(parts, "machined block", "cad/featuretype.ply", Unit::Inch);
  return parts;
}

Mesh with_bent_end(const Mesh& mesh, double share, double angle_deg) {
  const Box box = bounding_box(mesh.vertices_mm);
  Eigen::Index along = 0, up = 0;
  box.size_mm().maxCoeff(&along);
  box.size_mm().minCoeff(&up);
  const SurfaceSamples samples = sample_surface(mesh, 4000, Rng(1));
  std::vector<double> places;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i)
    places.push_back(samples.points_mm(along, i));
  const double from = quantile(std::move(places), 1.0 - share);
  return displaced(refined(mesh, 0.03 * box.diagonal_mm()), [&](const Vector3d& p) {
    Vector3d moved = Vector3d::Zero();
    moved[up] = std::tan(angle_deg * kDegree) * std::max(0.0, p[along] - from);
    return moved;
  });
}

Scan fused_scan(const Mesh& mesh, double noise_mm, Rng rng) {
  constexpr int kWaves = 40;
  constexpr double kShortest_mm = 4.0, kLongest_mm = 12.0;
  const double diagonal_mm = bounding_box(mesh.vertices_mm).diagonal_mm();
  Mesh fine = refined(mesh, 0.008 * diagonal_mm);
  std::vector<Vector3d> waves;
  std::vector<double> phases;
  for (int k = 0; k < kWaves; ++k) {
    waves.push_back(2.0 * kPi / rng.uniform(kShortest_mm, kLongest_mm) * rng.direction());
    phases.push_back(rng.uniform(0.0, 2.0 * kPi));
  }
  Eigen::Matrix3Xd normals = Eigen::Matrix3Xd::Zero(3, fine.vertices_mm.cols());
  Eigen::Matrix3Xd around = normals;
  Eigen::VectorXd count = Eigen::VectorXd::Zero(fine.vertices_mm.cols());
  for (Eigen::Index f = 0; f < fine.triangles.cols(); ++f) {
    const Vector3d area = area_vector(fine, f);
    for (int k = 0; k < 3; ++k) {
      const int v = fine.triangles(k, f);
      normals.col(v) += area;
      around.col(v) += fine.vertices_mm.col(fine.triangles((k + 1) % 3, f)) +
                       fine.vertices_mm.col(fine.triangles((k + 2) % 3, f));
      count[v] += 2.0;
    }
  }
  // A sixth of the way to the neighbours' middle: flat faces stay, edges are rounded.
  for (Eigen::Index v = 0; v < fine.vertices_mm.cols(); ++v) {
    const Vector3d p = fine.vertices_mm.col(v);
    const Vector3d n = normals.col(v).normalized();
    const double inward = n.dot(around.col(v) / count[v] - p);
    fine.vertices_mm.col(v) = p + (inward / 6.0 + noise_mm * ripple(p, waves, phases)) * n;
  }
  RawGeometry saved;
  saved.points = fine.vertices_mm;
  saved.triangles = fine.triangles;
  return scan_from_mesh(std::move(saved), "fused").scan;
}

}  // namespace trammel::test
