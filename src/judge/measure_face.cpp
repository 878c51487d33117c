#include "trammel/judge/measure_face.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/judge/face_cells.hpp"
#include "trammel/judge/independent_readings.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kBlocksAlong = 10.0;
/// Two blocks side by side are apart by one width; three widths between the outer ones of four.
constexpr double kLeastSpread = 1.0;  // standard deviation in widths: of four in a row, 1.12
constexpr double kFewestBlocks = 3.0;
constexpr double kTukey = 4.685;
constexpr int kRounds = 20;

/// Readings of one face in a frame on it, from the place asked for.
struct FaceBlocks {
  VectorXd height, weight;         ///< #B; a block of full size weighs 1
  Eigen::Matrix2Xd place;          ///< 2 × #B
  std::vector<Vector3d> sideways;  ///< the frame's two axes
  double side_mm = 0.0;
};

struct PlaneFit {
  SmallVector values;      ///< height at the middle, then slopes
  SmallMatrix covariance;  ///< of the values
  double rms = 0.0, freedom = 0.0, weight = 0.0;
};

FaceBlocks blocks_of(const SmoothFace& face, const Eigen::VectorXi& of_face,
                     const SurfaceCells& cells, const CellReadings& readings, double pooled_mm) {
  FaceBlocks out;
  out.side_mm = std::max(2.0 * pooled_mm, std::sqrt(face.area_mm2) / kBlocksAlong);
  const IndependentReadings all = independent_readings(cells, readings, of_face, out.side_mm);
  std::vector<Index> chosen;
  for (Index b = 0; b < all.size(); ++b)
    if (all.face[b] == 0) chosen.push_back(b);
  const Across axes = across(face.normal);
  out.sideways = {axes.u, axes.v};
  const auto count = static_cast<Index>(chosen.size());
  out.height.resize(count);
  out.weight.resize(count);
  out.place.resize(2, count);
  for (Index i = 0; i < count; ++i) {
    const Index b = chosen[static_cast<std::size_t>(i)];
    const Vector3d arm = all.place_mm.col(b) - face.at_mm;
    out.height[i] = all.deviation_mm[b];
    out.weight[i] = std::min(1.0, all.area_mm2[b] / (out.side_mm * out.side_mm));
    out.place.col(i) << arm.dot(axes.u), arm.dot(axes.v);
  }
  return out;
}

/// Turns the frame along the blocks' own longest spread and moves it to their middle. Returns the
/// place asked for in it; `spread` receives the standard deviations along its axes.
Eigen::Vector2d settle_frame(FaceBlocks& blocks, Eigen::Vector2d& spread) {
  const double all = blocks.weight.sum();
  const Eigen::Vector2d middle = blocks.place * blocks.weight / all;
  blocks.place.colwise() -= middle;
  Eigen::Matrix2d square = Eigen::Matrix2d::Zero();
  for (Index i = 0; i < blocks.place.cols(); ++i)
    square += blocks.weight[i] / all * blocks.place.col(i) * blocks.place.col(i).transpose();
  const SymmetricEigen eigen = symmetric_eigen(square);
  Eigen::Matrix2d turn;
  turn << eigen.vectors.col(1), eigen.vectors.col(0);
  spread = Eigen::Vector2d(eigen.values[1], eigen.values[0]).cwiseMax(0).cwiseSqrt();
  for (Index i = 0; i < blocks.place.cols(); ++i)
    blocks.place.col(i) = (turn.transpose() * blocks.place.col(i)).eval();
  blocks.sideways = {turn(0, 0) * blocks.sideways[0] + turn(1, 0) * blocks.sideways[1],
                     turn(0, 1) * blocks.sideways[0] + turn(1, 1) * blocks.sideways[1]};
  return turn.transpose() * -middle;
}

/// One, and the place along the axes that a slope is asked for.
SmallVector row_at(const Eigen::Vector2d& place, Index slopes) {
  SmallVector row(1 + slopes);
  row[0] = 1.0;
  for (Index k = 0; k < slopes; ++k)
    row[1 + k] = place[k];
  return row;
}

/// Least squares with the given weights; `rest` receives what the plane leaves of each height.
PlaneFit weighted_plane(const FaceBlocks& blocks, const VectorXd& weight, Index slopes,
                        VectorXd& rest) {
  SmallMatrix square = SmallMatrix::Zero(1 + slopes, 1 + slopes);
  SmallVector right = SmallVector::Zero(1 + slopes);
  for (Index i = 0; i < weight.size(); ++i) {
    const SmallVector row = row_at(blocks.place.col(i), slopes);
    square += weight[i] * row * row.transpose();
    right += weight[i] * blocks.height[i] * row;
  }
  PlaneFit fit;
  const SmallMatrix inverse =
      solve_symmetric(square, SmallMatrix::Identity(square.rows(), square.cols()));
  fit.values = inverse * right;
  double squares = 0.0;
  for (Index i = 0; i < weight.size(); ++i) {
    rest[i] = blocks.height[i] - row_at(blocks.place.col(i), slopes).dot(fit.values);
    squares += weight[i] * rest[i] * rest[i];
  }
  fit.weight = weight.sum();
  fit.freedom = fit.weight - static_cast<double>(1 + slopes);
  const double variance = squares / std::max(fit.freedom, 1e-9);
  fit.rms = std::sqrt(variance);
  fit.covariance = variance * inverse;
  return fit;
}

/// @param slopes  0, 1 or 2: along how many of the frame's axes the face may lean
PlaneFit robust_plane(const FaceBlocks& blocks, Index slopes) {
  PlaneFit fit;
  VectorXd weight = blocks.weight, rest(blocks.height.size());
  for (int round = 0; round < kRounds; ++round) {
    fit = weighted_plane(blocks, weight, slopes, rest);
    const double reach = std::max(
        kTukey * robust_sigma(std::vector<double>(rest.data(), rest.data() + rest.size())), 1e-6);
    for (Index i = 0; i < rest.size(); ++i) {
      const double share = std::min(1.0, std::abs(rest[i]) / reach);
      weight[i] = blocks.weight[i] * std::pow(1.0 - share * share, 2);
    }
    if (!(weight.sum() > static_cast<double>(1 + slopes) + 1.0)) break;
  }
  return fit;
}

/// The measured direction, and how sure it is along the frame's axes.
void describe_lean(MeasuredFace& out, const SmoothFace& face, const FaceBlocks& blocks,
                   const PlaneFit& fit) {
  out.normal =
      (face.normal - fit.values[1] * blocks.sideways[0] - fit.values[2] * blocks.sideways[1])
          .normalized();
  for (std::size_t k = 0; k < 2; ++k) {
    const auto axis = static_cast<Index>(k);
    out.axes[k] = blocks.sideways[k];
    out.slope_uncertainty[k] =
        student_95(fit.freedom) * std::sqrt(std::max(0.0, fit.covariance(1 + axis, 1 + axis)));
    out.reach_mm[k] = blocks.place.row(axis).maxCoeff() - blocks.place.row(axis).minCoeff();
  }
}

MeasuredFace not_measured(std::string reason) {
  MeasuredFace out;
  out.reason = std::move(reason);
  return out;
}

}  // namespace

double student_95(double degrees_of_freedom) {
  constexpr std::array<double, 10> kTable = {12.706, 4.303, 3.182, 2.776, 2.571,
                                             2.447,  2.365, 2.306, 2.262, 2.228};
  if (!(degrees_of_freedom >= 1.0)) return std::numeric_limits<double>::infinity();
  if (degrees_of_freedom > 10.0) return 1.96 + 2.7 / degrees_of_freedom;
  return kTable[static_cast<std::size_t>(std::floor(degrees_of_freedom)) - 1];
}

MeasuredFace measure_face(const SmoothFace& face, const SurfaceCells& cells,
                          const CellReadings& readings, const MeasureFaceSettings& settings) {
  const Eigen::VectorXi of_face = cells_of_face(face, cells);
  const double seen = seen_share(of_face, cells, readings);
  if (!(seen >= settings.least_seen))
    return not_measured("only " + fixed(100.0 * seen, 0) + " % of it was seen");
  FaceBlocks blocks = blocks_of(face, of_face, cells, readings, settings.pooled_mm);
  if (!(blocks.weight.sum() >= kFewestBlocks))
    return not_measured("it is too small to be measured");
  Eigen::Vector2d spread;
  const Eigen::Vector2d place = settle_frame(blocks, spread);
  Index slopes = 0;
  while (slopes < 2 && spread[slopes] >= kLeastSpread * blocks.side_mm)
    ++slopes;
  const PlaneFit fit = robust_plane(blocks, slopes);

  MeasuredFace out;
  const SmallVector at = row_at(place, slopes);
  out.height_mm = at.dot(fit.values);
  out.height_uncertainty_mm =
      student_95(fit.freedom) * std::sqrt(std::max(0.0, at.dot(fit.covariance * at)));
  if (!std::isfinite(out.height_uncertainty_mm))
    return not_measured("too little of it was seen to say how sure its place is");
  if (slopes == 2) describe_lean(out, face, blocks, fit);
  out.seen = seen;
  out.rms_mm = fit.rms;
  out.readings = fit.weight;
  return out;
}

}  // namespace trammel
