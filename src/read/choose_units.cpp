#include "trammel/read/choose_units.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/chosen_by_place.hpp"

namespace trammel {
namespace {

constexpr Unit kUnits[] = {Unit::Mm, Unit::Cm, Unit::M, Unit::Inch};

/// The scan's size over the design's that still makes sense: one side seen … a larger scene.
constexpr double kLeastRatio = 0.25, kMostRatio = 20.0;
/// Scanners write mm far more often than anything else. In natural logarithms of the sizes' ratio:
/// mm wins unless another unit fits e^1.5 ≈ 4.5 times better.
constexpr double kNotMm = 1.5;
/// A lone file has no design to compare with, so mm has a still larger lead (e^2.5 ≈ 12).
constexpr double kNotMmAlone = 2.5;
/// Two units fit about as well when their scores are nearer than this; cm and inch (0.93) are.
constexpr double kAboutAsWell = 1.0;
/// The middle of what a workshop scans, as the diagonal of its box, mm.
constexpr double kUsualDiagonal = 150.0;

/// About this many points tell the size of a scan.
constexpr Eigen::Index kSubsample = 20000;

/// Diagonal of the box from the 1 % to the 99 % quantile along each axis, so that strays do not
/// count; 0 without finite points.
double robust_diagonal(const Eigen::Matrix3Xd& points) {
  const std::vector<Eigen::Index> asked = chosen_by_place(points, kSubsample);
  if (asked.empty()) return 0.0;
  Eigen::Vector3d size = Eigen::Vector3d::Zero();
  for (int axis = 0; axis < 3; ++axis) {
    std::vector<double> values;
    values.reserve(asked.size());
    for (const Eigen::Index i : asked)
      values.push_back(points(axis, i));
    size[axis] = quantile(values, 0.99) - quantile(values, 0.01);
  }
  return size.norm();
}

/// Enough digits to compare sizes with.
std::string rounded(double value) {
  return fixed(value, value >= 10.0 ? 1 : value >= 0.1 ? 2 : 4);
}

struct Scored {
  Unit unit;
  double score;
};

std::vector<UnitChoice> ranked(std::vector<Scored> scored, const std::string& reason) {
  std::stable_sort(scored.begin(), scored.end(),
                   [](const Scored& a, const Scored& b) { return a.score < b.score; });
  const bool certain = scored.size() == 1 || scored[1].score - scored[0].score > kAboutAsWell;
  std::vector<UnitChoice> choices;
  for (const Scored& one : scored)
    choices.push_back({mm_per_unit(one.unit), unit_name(one.unit), reason, certain});
  return choices;
}

}  // namespace

std::vector<UnitChoice> units_beside(const Scan& raw, double other_mm, const std::string& other) {
  const double scan_size = robust_diagonal(raw.points_mm);
  std::vector<Scored> scored;
  for (const Unit unit : kUnits) {
    const double ratio = scan_size * mm_per_unit(unit) / other_mm;
    if (!(ratio >= kLeastRatio && ratio <= kMostRatio)) continue;
    scored.push_back({unit, std::abs(std::log(ratio)) + (unit == Unit::Mm ? 0.0 : kNotMm)});
  }
  if (scored.empty()) return {};
  return ranked(std::move(scored), "from sizes: the scan measures " + rounded(scan_size) +
                                       " as stored, " + other + " " + rounded(other_mm) + " mm");
}

std::string no_unit_fits(const Scan& raw, double other_mm, const std::string& other) {
  return "expected a scan of about " + other + "'s size (" + rounded(other_mm) +
         " mm) in mm, cm, m or inches, found one that measures " +
         rounded(robust_diagonal(raw.points_mm)) + " as stored";
}

std::vector<UnitChoice> plausible_units(const Scan& raw, const Mesh& design, Unit given) {
  if (given != Unit::Auto) {
    return {{mm_per_unit(given), unit_name(given), "given in the plan", true}};
  }
  const double design_mm = bounding_box(design.vertices_mm).diagonal_mm();
  auto fitting = units_beside(raw, design_mm, "the design");
  if (fitting.empty()) {
    throw Error(ErrorKind::Input, raw.name, no_unit_fits(raw, design_mm, "the design"),
                "Check that scan and design are the same part and that the design's units are "
                "right, or give units in the plan's [scan]");
  }
  return fitting;
}

Scan in_mm(Scan raw, const UnitChoice& unit) {
  if (unit.mm_per_unit != 1.0) raw.points_mm *= unit.mm_per_unit;
  return raw;
}

UnitChoice guess_unit_of_lone_file(double diagonal) {
  if (!(diagonal > 0.0) || !std::isfinite(diagonal)) {
    return {1.0, unit_name(Unit::Mm), "it has no size", false};
  }
  std::vector<Scored> scored;
  for (const Unit unit : kUnits) {
    const double off = std::abs(std::log(diagonal * mm_per_unit(unit) / kUsualDiagonal));
    scored.push_back({unit, off + (unit == Unit::Mm ? 0.0 : kNotMmAlone)});
  }
  return ranked(std::move(scored), "from its size alone").front();
}

UnitChoice unit_of_lone_file(Unit given, double diagonal) {
  if (given == Unit::Auto) return guess_unit_of_lone_file(diagonal);
  return {mm_per_unit(given), unit_name(given), "given", true};
}

}  // namespace trammel
