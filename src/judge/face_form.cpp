#include "trammel/judge/face_form.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/minimum_zone.hpp"
#include "trammel/judge/independent_readings.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kLeastOfBlock = 0.25;  // of its area
constexpr Index kFewestOfForm = 9;
const double kOfMedian = std::sqrt(0.5 * kPi);

}  // namespace

double FaceForm::noise_width_mm() const {
  const auto count = static_cast<double>(place_mm.cols());
  return count > 1.0 ? 2.0 * noise_mm * std::sqrt(2.0 * std::log(count)) : 0.0;
}

FaceForm face_form(const SmoothFace& face, const SurfaceCells& cells, const CellReadings& readings,
                   double point_noise_mm, const MeasureFaceSettings& settings) {
  FaceForm out;
  const Eigen::VectorXi of_face = cells_of_face(face, cells);
  const double seen = seen_share(of_face, cells, readings);
  if (!(seen >= settings.least_seen)) {
    out.reason = "only " + fixed(100.0 * seen, 0) + " % of it was seen";
    return out;
  }
  out.side_mm = 2.0 * settings.pooled_mm;
  const IndependentReadings all = independent_readings(cells, readings, of_face, out.side_mm);
  std::vector<Index> chosen;
  for (Index b = 0; b < all.size(); ++b)
    if (all.face[b] == 0 && all.area_mm2[b] >= kLeastOfBlock * out.side_mm * out.side_mm)
      chosen.push_back(b);
  const auto count = static_cast<Index>(chosen.size());
  if (count < kFewestOfForm) {
    out.reason = "it is too small to be measured";
    return out;
  }
  out.place_mm.resize(3, count);
  double squares = 0.0;
  for (Index i = 0; i < count; ++i) {
    const Index b = chosen[static_cast<std::size_t>(i)];
    out.place_mm.col(i) = all.place_mm.col(b) + all.deviation_mm[b] * face.normal;
    squares += 1.0 / std::max(1.0, all.support[b]);
  }
  out.noise_mm = kOfMedian * point_noise_mm * std::sqrt(squares / static_cast<double>(count));
  return out;
}

double flatness_mm(const FaceForm& form, const Vector3d& normal) {
  const auto [u, v] = across(normal);
  const Vector3d from = form.place_mm.rowwise().mean();
  Eigen::Matrix2Xd place(2, form.place_mm.cols());
  Eigen::VectorXd height(form.place_mm.cols());
  for (Index i = 0; i < place.cols(); ++i) {
    const Vector3d arm = form.place_mm.col(i) - from;
    place.col(i) << arm.dot(u), arm.dot(v);
    height[i] = arm.dot(normal);
  }
  return minimum_zone(place, height).width_mm;
}

double range_along_mm(const FaceForm& form, const Vector3d& direction) {
  const Eigen::RowVectorXd height = direction.transpose() * form.place_mm;
  return height.maxCoeff() - height.minCoeff();
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
