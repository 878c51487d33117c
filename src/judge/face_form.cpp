#include "trammel/judge/face_form.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
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

constexpr double kFewestOfForm = 9.0;  // readings that share no points
/// Standard deviation in widths of what a reading stands for; spread evenly over four, 1.15.
constexpr double kLeastLean = 1.1;
const double kOfMedian = std::sqrt(0.5 * kPi);
const double kMostTurn = std::tan(10.0 * kPi / 180.0);

double reach_of_noise(std::vector<double> noise_mm) {
  std::sort(noise_mm.begin(), noise_mm.end(), std::greater<>());
  double reach = 0.0;
  for (std::size_t k = 0; k < noise_mm.size(); ++k)
    reach = std::max(reach, noise_mm[k] * std::sqrt(2.0 * std::log(static_cast<double>(k) + 2.0)));
  return reach;
}

/// Where the scan has the readings of a face, 3 × #B.
Eigen::Matrix3Xd made_places(const FaceForm& form, const Vector3d& normal) {
  return form.place_mm + normal * form.value_mm.transpose();
}

double range_of(const Eigen::RowVectorXd& heights) {
  return heights.maxCoeff() - heights.minCoeff();
}

}  // namespace

FaceForm face_form(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                   const CellReadings& readings, double point_noise_mm,
                   const MeasureFaceSettings& settings) {
  FaceForm out;
  out.sight = sight_of(of_face, cells, readings);
  if (!(out.sight.share >= settings.least_seen)) {
    out.reason = "only " + fixed(std::floor(100.0 * out.sight.share), 0) + " % of it was seen";
    return out;
  }
  out.radius_mm = settings.pooled_mm;
  std::vector<Index> chosen;
  std::vector<double> noise_mm;
  double area_mm2 = 0.0;
  for (Index c = 0; c < cells.size(); ++c) {
    if (of_face[c] < 0 || !has_reading(readings, c)) continue;
    chosen.push_back(c);
    noise_mm.push_back(kOfMedian * point_noise_mm / std::sqrt(readings.support[c]));
    area_mm2 += cells.area_mm2[c];
  }
  if (area_mm2 < kFewestOfForm * std::pow(2.0 * out.radius_mm, 2)) {
    out.reason = "it is too small to be measured";
    return out;
  }
  out.place_mm = cells.center_mm(Eigen::all, chosen);
  out.value_mm = readings.deviation_mm(chosen);
  out.noise_reach_mm = reach_of_noise(std::move(noise_mm));
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
  return std::sqrt(std::max(0.0, least)) >= kLeastLean * 2.0 * form.radius_mm;
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
    const double turn = degree * kPi / 180.0;
    const double a = extent_along_mm(design, face, std::cos(turn) * u + std::sin(turn) * v);
    const double b = extent_along_mm(design, face, std::cos(turn) * v - std::sin(turn) * u);
    if (a * b >= least) continue;
    least = a * b;
    best = {std::max(a, b), std::min(a, b)};
  }
  return best;
}

}  // namespace trammel
