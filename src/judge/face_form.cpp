#include "trammel/judge/face_form.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/minimum_zone.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kLeastOfBlock = 0.5;  // of its area
constexpr double kFewestBlocks = 9.0;  // side by side
/// Standard deviation in widths of a block; spread evenly over four, 1.15.
constexpr double kLeastLean = 1.1;
const double kOfMedian = std::sqrt(0.5 * kPi);
const double kMostTurn = std::tan(10.0 * kDegree);

/// Of one side of a block: its points, and those behind one of its values.
struct Behind {
  double points = 0.0, area_by_support = 0.0;
  /// Noise of the mean of its values, squared, in that of a median of one point.
  [[nodiscard]] double noise_square(double area) const {
    return 1.0 / std::max(points, area / area_by_support);
  }
};

struct FormBlock {
  Vector3d place = Vector3d::Zero();
  double area = 0.0, value = 0.0;
  Behind own, across;
};
using GridKey = std::array<int, 3>;  // grid, and its column and row

std::map<GridKey, FormBlock> blocks_of(const CellValues& values, const Vector3d& normal,
                                       const SurfaceCells& cells, double side_mm) {
  const auto [u, v] = across(normal);
  const bool is_wall = values.support_across.size() > 0;
  std::map<GridKey, FormBlock> blocks;
  for (Index c = 0; c < cells.size(); ++c) {
    if (values.chosen[c] < 0 || !std::isfinite(values.value_mm[c])) continue;
    const Vector3d place = cells.center_mm.col(c);
    const double area = cells.area_mm2[c];
    for (int grid = 0; grid < 4; ++grid) {
      const int right = grid % 2, higher = grid / 2;  // by half a side
      const double along = u.dot(place) / side_mm + 0.5 * right,
                   up = v.dot(place) / side_mm + 0.5 * higher;
      FormBlock& block =
          blocks[{grid, static_cast<int>(std::floor(along)), static_cast<int>(std::floor(up))}];
      block.place += area * place;
      block.value += area * values.value_mm[c];
      block.area += area;
      block.own.points += values.points[c];
      block.own.area_by_support += area / values.support[c];
      if (!is_wall) continue;
      block.across.points += values.points_across[c];
      block.across.area_by_support += area / values.support_across[c];
    }
  }
  return blocks;
}

/// Where the chances of all blocks to lie farther out, added up, come to 2.5 %.
double reach_of_noise(const std::vector<double>& noise_mm) {
  constexpr double kBeyond = 0.025;
  double low = 0.0, high = 0.0;
  for (const double noise : noise_mm)
    high = std::max(high, 40.0 * noise);
  if (!(high > 0.0)) return 0.0;
  for (int step = 0; step < 40; ++step) {
    const double reach = 0.5 * (low + high);
    double chance = 0.0;
    for (const double noise : noise_mm)
      chance += 0.5 * std::erfc(reach / (std::sqrt(2.0) * noise));
    (chance > kBeyond ? low : high) = reach;
  }
  return high;
}

/// Where the scan has the blocks of a face, 3 × #B.
Eigen::Matrix3Xd made_places(const FaceForm& form, const Vector3d& normal) {
  return form.place_mm + normal * form.value_mm.transpose();
}

double range_of(const Eigen::RowVectorXd& heights) {
  return heights.maxCoeff() - heights.minCoeff();
}

}  // namespace

FaceForm face_form(const CellValues& values, const Vector3d& normal, const SurfaceCells& cells,
                   double point_noise_mm, const MeasureFaceSettings& settings) {
  FaceForm out;
  out.sight = sight_of(values, cells);
  if (!(out.sight.area_mm2 > 0.0)) {
    out.reason = "it is too narrow to be measured";
    return out;
  }
  if (!(out.sight.share >= settings.least_seen)) {
    out.reason = "only " + fixed(std::floor(100.0 * out.sight.share), 0) + " % of it was seen";
    return out;
  }
  out.side_mm = 2.0 * settings.pooled_mm;
  const double block_mm2 = out.side_mm * out.side_mm;
  std::vector<FormBlock> chosen;
  for (const auto& [key, block] : blocks_of(values, normal, cells, out.side_mm))
    if (block.area >= kLeastOfBlock * block_mm2) chosen.push_back(block);
  const auto count = static_cast<Index>(chosen.size());
  if (out.sight.share * out.sight.area_mm2 < kFewestBlocks * block_mm2 || count < 4) {
    out.reason = "it is too small to be measured";
    return out;
  }
  out.place_mm.resize(3, count);
  out.value_mm.resize(count);
  std::vector<double> noise_mm;
  for (Index b = 0; b < count; ++b) {
    const FormBlock& block = chosen[static_cast<std::size_t>(b)];
    out.place_mm.col(b) = block.place / block.area;
    out.value_mm[b] = block.value / block.area;
    double square = block.own.noise_square(block.area);
    if (values.support_across.size() > 0) square += block.across.noise_square(block.area);
    noise_mm.push_back(kOfMedian * point_noise_mm * std::sqrt(square));
  }
  out.noise_reach_mm = reach_of_noise(noise_mm);
  return out;
}

bool tells_its_lean(const FaceForm& form, const Vector3d& normal) {
  const auto [u, v] = across(normal);
  const Vector3d middle = form.place_mm.rowwise().mean();
  Eigen::Matrix2d square = Eigen::Matrix2d::Zero();
  for (Index i = 0; i < form.place_mm.cols(); ++i) {
    const Vector3d arm = form.place_mm.col(i) - middle;
    const Eigen::Vector2d flat(arm.dot(u), arm.dot(v));
    square += flat * flat.transpose();
  }
  const double least =
      symmetric_eigen(square).values[0] / static_cast<double>(form.place_mm.cols());
  return std::sqrt(std::max(0.0, least)) >= kLeastLean * form.side_mm;
}

double flatness_mm(const FaceForm& form, const Vector3d& normal) {
  const auto [u, v] = across(normal);
  const Eigen::Matrix3Xd made = made_places(form, normal);
  const Eigen::Matrix3Xd arms = made.colwise() - Vector3d(made.rowwise().mean());
  Eigen::Matrix2Xd place(2, arms.cols());
  place.row(0) = u.transpose() * arms;
  place.row(1) = v.transpose() * arms;
  return minimum_zone(place, (normal.transpose() * arms).transpose()).width_mm;
}

double range_along_mm(const FaceForm& form, const Vector3d& normal, const Vector3d& direction) {
  return range_of(direction.transpose() * made_places(form, normal));
}

double range_square_to_mm(const FaceForm& form, const Vector3d& normal, const Vector3d& datum) {
  const Vector3d straight = (normal - datum.dot(normal) * datum).normalized();
  const Vector3d sideways = datum.cross(straight);
  const Eigen::Matrix3Xd made = made_places(form, normal);
  const Eigen::RowVectorXd height = straight.transpose() * made,
                           along = sideways.transpose() * made;
  // Convex in the tangent of the turn, to be divided by its secant at the end.
  const auto width = [&](double turn) { return range_of(height - turn * along); };
  constexpr double kGolden = 0.6180339887498949;
  double low = -kMostTurn, high = kMostTurn;
  for (int step = 0; step < 60; ++step) {
    const double a = high - kGolden * (high - low), b = low + kGolden * (high - low);
    if (width(a) <= width(b)) {
      high = b;
    } else {
      low = a;
    }
  }
  const double turn = 0.5 * (low + high);
  return width(turn) / std::hypot(1.0, turn);
}

double extent_along_mm(const Mesh& design, const SmoothFace& face, const Vector3d& direction) {
  double low = std::numeric_limits<double>::infinity(), high = -low;
  for (const int f : face.triangles) {
    for (const int corner : design.triangles.col(f)) {
      const double at = direction.dot(design.vertices_mm.col(corner));
      low = std::min(low, at);
      high = std::max(high, at);
    }
  }
  return std::max(0.0, high - low);
}

FaceSides sides_of(const Mesh& design, const SmoothFace& face) {
  const auto [u, v] = across(face.normal);
  FaceSides best;
  double least = std::numeric_limits<double>::infinity();
  for (int degree = 0; degree < 90; ++degree) {
    const double turn = degree * kDegree;
    const double a = extent_along_mm(design, face, std::cos(turn) * u + std::sin(turn) * v);
    const double b = extent_along_mm(design, face, std::cos(turn) * v - std::sin(turn) * u);
    if (a * b >= least) continue;
    least = a * b;
    best = {std::max(a, b), std::min(a, b)};
  }
  return best;
}

}  // namespace trammel
