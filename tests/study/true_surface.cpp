#include "study/true_surface.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"

namespace trammel::test {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Vector3d;
using Eigen::VectorXd;
using Vector6d = Eigen::Matrix<double, 6, 1>;

constexpr double kAcross = 1e-6;       // of a normal along the axis that it should lie across
constexpr double kFacetShare = 0.004;  // a facet's middle lies so much nearer to the axis
/// All but the last steps of a fit look at a spread of the samples only: it need not lie evenly.
constexpr int kSteps = 40, kLastSteps = 3;
constexpr Index kFitted = 8000;

Vector3d off_axis(const RoundWall& wall, const Vector3d& p) {
  const Vector3d from = p - wall.on_axis_mm;
  return from - wall.axis * wall.axis.dot(from);
}

int round_wall_at(const std::vector<RoundWall>& walls, const Vector3d& p, const Vector3d& normal) {
  for (std::size_t i = 0; i < walls.size(); ++i) {
    const RoundWall& wall = walls[i];
    const double along = wall.axis.dot(p - wall.on_axis_mm);
    const double radius = off_axis(wall, p).norm();
    if (std::abs(normal.dot(wall.axis)) > kAcross) continue;
    if (along < wall.from_mm - 1e-6 || along > wall.to_mm + 1e-6) continue;
    if (radius > wall.radius_mm + 1e-6 || radius < wall.radius_mm * (1.0 - kFacetShare)) continue;
    return static_cast<int>(i);
  }
  return -1;
}

Isometry3d motion_of(const Vector6d& x) {
  Isometry3d out = Isometry3d::Identity();
  const Vector3d turn = x.head<3>();
  if (turn.norm() > 0.0) out.rotate(Eigen::AngleAxisd(turn.norm(), turn.normalized()));
  out.pretranslate(Vector3d(x.tail<3>()));
  return out;
}

/// A Gauss-Newton step of Σ weight · deviation², of which a share is gone.
/// @param every  of so many samples one is looked at
Isometry3d step(const TrueSurface& s, const Isometry3d& motion, const VectorXd& off,
                const VectorXd& weights, double length, Index every) {
  Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
  Vector6d right = Vector6d::Zero();
  for (Index i = 0; i < off.size(); i += every) {
    const Vector3d p = motion * s.real_mm.col(i);
    Vector3d n = s.normal.col(i);
    if (s.round[i] >= 0) {
      const Vector3d out = off_axis(s.walls[static_cast<std::size_t>(s.round[i])], p).normalized();
      n = out.dot(n) < 0.0 ? Vector3d(-out) : out;
    }
    Vector6d row;
    row << p.cross(n), n;
    normal += weights[i] * row * row.transpose();
    right -= weights[i] * off[i] * row;
  }
  normal.diagonal().array() += 1e-12 * normal.trace();
  return motion_of(length * Vector6d(solve_symmetric(normal, right))) * motion;
}

}  // namespace

VectorXd TrueSurface::deviations(const Isometry3d& motion) const {
  VectorXd out(area_mm2.size());
  for (Index i = 0; i < out.size(); ++i) {
    const Vector3d p = motion * real_mm.col(i), from = drawn_mm.col(i);
    if (round[i] < 0) {
      out[i] = normal.col(i).dot(p - from);
      continue;
    }
    const RoundWall& wall = walls[static_cast<std::size_t>(round[i])];
    const double grown = off_axis(wall, p).norm() - off_axis(wall, from).norm();
    out[i] = off_axis(wall, from).dot(normal.col(i)) < 0.0 ? -grown : grown;
  }
  return out;
}

double TrueSurface::level_mm(const Isometry3d& motion, double least_area_mm2) const {
  const VectorXd off = deviations(motion);
  double level = 0.0;
  for (const double sign : {1.0, -1.0}) {
    std::vector<Index> order(static_cast<std::size_t>(off.size()));
    std::iota(order.begin(), order.end(), Index{0});
    std::sort(order.begin(), order.end(),
              [&](Index a, Index b) { return sign * off[a] > sign * off[b]; });
    double area = 0.0;
    for (const Index i : order) {
      area += area_mm2[i];
      if (area < least_area_mm2) continue;
      level = std::max(level, sign * off[i]);
      break;
    }
  }
  return level;
}

double TrueSurface::area_beyond(const Isometry3d& motion, double limit_mm) const {
  const VectorXd off = deviations(motion);
  double proud = 0.0, shy = 0.0;
  for (Index i = 0; i < off.size(); ++i) {
    if (off[i] > limit_mm) proud += area_mm2[i];
    if (off[i] < -limit_mm) shy += area_mm2[i];
  }
  return std::max(proud, shy);
}

TrueSurface true_surface(const Recipe& recipe, const Mesh& drawn, const Mesh& real) {
  TrueSurface out;
  const Index count = drawn.triangles.cols();
  out.walls = round_walls_of(recipe);
  out.drawn_mm.resize(3, count);
  out.real_mm.resize(3, count);
  out.normal.resize(3, count);
  out.area_mm2.resize(count);
  out.round.resize(count);
  const auto middle = [](const Mesh& mesh, Index f) -> Vector3d {
    const auto corner = [&](int k) { return mesh.vertices_mm.col(mesh.triangles(k, f)); };
    return (corner(0) + corner(1) + corner(2)) / 3.0;
  };
  for (Index f = 0; f < count; ++f) {
    const Vector3d area = area_vector(drawn, f);
    out.drawn_mm.col(f) = middle(drawn, f);
    out.real_mm.col(f) = middle(real, f);
    out.normal.col(f) = area.normalized();
    out.area_mm2[f] = 0.5 * area.norm();
    out.round[f] = round_wall_at(out.walls, out.drawn_mm.col(f), out.normal.col(f));
  }
  return out;
}

void replace_hole(TrueSurface& surface, const Recipe& recipe, std::size_t hole,
                  const PartHole& made) {
  constexpr int kAround = 180, kAlong = 4;
  const auto wall = static_cast<int>(hole);  // the holes' walls come first
  const Panel panel = panels_of(recipe)[made.panel];
  const RoundWall& drawn = surface.walls[hole];
  const double radius = 0.5 * made.diameter_mm;
  Index next = 0;
  for (Index i = 0; i < surface.round.size(); ++i) {
    if (surface.round[i] == wall) surface.area_mm2[i] = 0.0;
    next = i + 1;
  }
  const Index count = next + kAround * kAlong;
  surface.drawn_mm.conservativeResize(3, count);
  surface.real_mm.conservativeResize(3, count);
  surface.normal.conservativeResize(3, count);
  surface.area_mm2.conservativeResize(count);
  surface.round.conservativeResize(count);
  for (int a = 0; a < kAround; ++a) {
    const double turn = 2.0 * kPi * a / kAround;
    const Vector3d out = std::cos(turn) * panel.u + std::sin(turn) * panel.v;
    for (int k = 0; k < kAlong; ++k, ++next) {
      const Vector3d down = -panel.thickness_mm * (k + 0.5) / kAlong * panel.normal;
      surface.drawn_mm.col(next) = drawn.on_axis_mm + down + drawn.radius_mm * out;
      surface.real_mm.col(next) = panel.at(made.at_mm.x(), made.at_mm.y()) + down + radius * out;
      surface.normal.col(next) = -out;
      surface.area_mm2[next] = 2.0 * kPi * radius * panel.thickness_mm / (kAround * kAlong);
      surface.round[next] = wall;
    }
  }
}

Isometry3d fitted(const TrueSurface& surface, double power, double reach_mm) {
  Isometry3d motion = Isometry3d::Identity();
  double scale = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const VectorXd off = surface.deviations(motion);
    VectorXd weights = surface.area_mm2;
    if (reach_mm > 0.0) {
      // Graduated: from the largest deviation down to the reach.
      if (i == 0) scale = std::max(reach_mm, off.cwiseAbs().maxCoeff());
      const double square = scale * scale;
      weights.array() *= (square / (square + off.array().square())).square();
      scale = std::max(reach_mm, 0.7 * scale);
    } else if (power > 2.0) {
      const double most = std::max(1e-9, off.cwiseAbs().maxCoeff());
      weights.array() *= (off.array().abs() / most).max(1e-3).pow(power - 2.0);
    }
    // Newton's step for a power p is the reweighted one over p − 1.
    const Index every =
        i < kSteps - kLastSteps ? std::max<Index>(1, off.size() / kFitted) : Index{1};
    motion = step(surface, motion, off, weights, 1.0 / (power - 1.0), every);
  }
  return motion;
}

Isometry3d kindest_motion(const TrueSurface& surface, double limit_mm, double least_area_mm2) {
  constexpr double kReach_mm = 0.1, kTowardsLargest = 6.0;
  const std::pair<double, double> ways[] = {{2.0, 0.0}, {2.0, kReach_mm}, {kTowardsLargest, 0.0}};
  Isometry3d best = Isometry3d::Identity();
  const auto badness = [&](const Isometry3d& motion) {
    return std::pair(std::max(least_area_mm2, surface.area_beyond(motion, limit_mm)),
                     surface.level_mm(motion, least_area_mm2));
  };
  auto least = badness(best);
  for (const auto& [power, reach_mm] : ways) {
    const Isometry3d motion = fitted(surface, power, reach_mm);
    const auto bad = badness(motion);
    if (bad >= least) continue;
    least = bad;
    best = motion;
  }
  return best;
}

}  // namespace trammel::test
