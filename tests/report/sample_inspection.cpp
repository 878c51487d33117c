#include "report/sample_inspection.hpp"

#include <cmath>
#include <functional>
#include <limits>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel::test {
namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
constexpr double kLean = 1.2;       ///< mm at the top of the upright
constexpr double kUprightTop = 55;  ///< mm

using Field = std::function<double(const Eigen::Vector3d& point, const Eigen::Vector3d& normal)>;

/// A repeatable ripple of ±0.015 mm in place of noise.
double ripple(const Eigen::Vector3d& p) {
  return 0.015 * std::sin(1.7 * p.x() + 2.3 * p.y() + 1.1 * p.z());
}

/// Leaning by x += lean · z² / top², a dent of 0.8 mm at (25, 42), a corner of the base unseen.
double failing_field(const Eigen::Vector3d& p, const Eigen::Vector3d& n) {
  const bool hidden = n.z() > 0.9 && p.z() < 4 && p.x() < 18 && p.y() < 16;
  if (hidden) return kNaN;
  double deviation = ripple(p);
  if (p.x() < 3.1 && p.z() > 3.1) deviation += n.x() * kLean * std::pow(p.z() / kUprightTop, 2.0);
  const double from_dent = std::hypot(p.x() - 25, p.y() - 42);
  if (n.z() > 0.9 && p.z() < 4 && from_dent < 6) deviation -= 0.8 * (1.0 - from_dent / 6.0);
  return deviation;
}

double passing_field(const Eigen::Vector3d& p, const Eigen::Vector3d& n) {
  const bool hidden = n.z() < -0.9 && p.x() > 70 && p.y() > 45;
  return hidden ? kNaN : ripple(p) + 0.25 * std::sin(p.x() / 30.0) * n.z();
}

double one_sided_field(const Eigen::Vector3d& p, const Eigen::Vector3d& n) {
  return n.x() + n.z() > 0.3 ? ripple(p) : kNaN;
}

void read_surface(const Field& field, SurfaceMap& surface) {
  const Eigen::Index count = surface.cells.size();
  surface.readings.deviation_mm.resize(count);
  surface.readings.support.resize(count);
  surface.readings.seen.assign(static_cast<std::size_t>(count), 0);
  surface.region.setZero(count);
  for (Eigen::Index c = 0; c < count; ++c) {
    const double deviation = field(surface.cells.center_mm.col(c), surface.cells.normal.col(c));
    const bool seen = std::isfinite(deviation);
    surface.readings.deviation_mm[c] = deviation;
    surface.readings.support[c] = seen ? 4 : 0;
    surface.readings.seen[static_cast<std::size_t>(c)] = seen ? 1 : 0;
  }
}

/// One point above each seen cell and five far off.
void scan_surface(Inspection& inspection) {
  const SurfaceMap& surface = inspection.surface;
  std::vector<Eigen::Index> seen;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    if (std::isfinite(surface.readings.deviation_mm[c])) seen.push_back(c);
  }
  const auto count = static_cast<Eigen::Index>(seen.size()) + 5;
  Deviations& deviations = inspection.deviations;
  inspection.scan.points_mm.resize(3, count);
  inspection.scan.normals.resize(3, count);
  deviations.signed_mm.setConstant(count, kNaN);
  deviations.triangle.setConstant(count, -1);
  inspection.surface.readings.cell_of_point.setConstant(count, -1);
  deviations.foot_mm.setZero(3, count);
  deviations.reading.assign(static_cast<std::size_t>(count), Reading::TooFar);
  deviations.reach_mm = 7.0;
  const Eigen::Isometry3d T_scan_design = inspection.alignment.T_design_scan.inverse();
  for (Eigen::Index i = 0; i < count; ++i) {
    const bool far = i + 5 >= count;
    const Eigen::Index c = far ? seen.front() : seen[static_cast<std::size_t>(i)];
    const Eigen::Vector3d foot = surface.cells.center_mm.col(c), n = surface.cells.normal.col(c);
    const double deviation = surface.readings.deviation_mm[c];
    inspection.scan.points_mm.col(i) = T_scan_design * (foot + (far ? 40.0 : deviation) * n);
    inspection.scan.normals.col(i) = T_scan_design.linear() * n;
    deviations.foot_mm.col(i) = foot;
    if (far) continue;
    deviations.signed_mm[i] = deviation;
    deviations.triangle[i] = surface.cells.triangle[c];
    inspection.surface.readings.cell_of_point[i] = static_cast<int>(c);
    deviations.reading[static_cast<std::size_t>(i)] = Reading::Measured;
  }
  const auto points = static_cast<std::size_t>(count);
  inspection.tidy = {points + 6, 1, 2, 3, 0, points, 0.9};
}

void summarise(Inspection& inspection) {
  DeviationSummary& summary = inspection.verdict.summary;
  summary = {0, 0.012, 0.21, 0.21, -1.21, 1.23, -0.31, 0.004, 0.35};
  summary.count = count_of(inspection.deviations, Reading::Measured);
  Coverage& coverage = inspection.verdict.coverage;
  const SurfaceMap& surface = inspection.surface;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    const double area = surface.cells.area_mm2[c];
    coverage.design_area_mm2 += area;
    if (std::isfinite(surface.readings.deviation_mm[c])) coverage.seen_area_mm2 += area;
  }
  coverage.seen_fraction = coverage.seen_area_mm2 / coverage.design_area_mm2;
}

/// Cells that face like `normal` and stand outside the band become one region.
void add_region(Inspection& inspection, const Eigen::Vector3d& normal) {
  SurfaceMap& surface = inspection.surface;
  Region region;
  region.id = static_cast<int>(inspection.verdict.regions.size()) + 1;
  region.limit_mm = 0.5;
  region.normal = normal;
  region.outcome = Outcome::Fail;
  Eigen::Vector3d low = Eigen::Vector3d::Constant(1e9), high = -low, sum(0, 0, 0);
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    const double deviation = surface.readings.deviation_mm[c], area = surface.cells.area_mm2[c];
    if (!(std::abs(deviation) > 0.5) || surface.cells.normal.col(c).dot(normal) < 0.9) continue;
    const Eigen::Vector3d center = surface.cells.center_mm.col(c);
    surface.region[c] = region.id;
    region.area_mm2 += area;
    region.mean_mm += area * deviation;
    sum += area * center;
    low = low.cwiseMin(center);
    high = high.cwiseMax(center);
    ++region.points;
    if (std::abs(deviation) > std::abs(region.peak_mm)) region.peak_mm = deviation;
  }
  region.mean_mm /= region.area_mm2;
  region.center_mm = sum / region.area_mm2;
  region.size_mm = high - low;
  region.kind = region.peak_mm > 0 ? RegionKind::Proud : RegionKind::Shy;
  inspection.verdict.regions.push_back(region);
}

HoleResult hole(const std::string& name, const Eigen::Vector3d& at, const Eigen::Vector3d& offset,
                Outcome outcome) {
  HoleResult result;
  result.name = name;
  result.nominal_mm = at;
  result.nominal_diameter_mm = 8.4;
  result.offset_mm = offset;
  result.position_mm = 2.0 * offset.norm();
  result.diameter_mm = 8.42;
  result.standard_error_mm = 0.004;
  result.points = 240;
  result.outcome = outcome;
  return result;
}

HoleCheck hole_check(const std::string& name, const Eigen::Vector3d& at) {
  HoleCheck check;
  check.name = name;
  check.at_mm = at;
  check.position_mm = 0.5;
  check.diameter_mm = Limits{8.2, 8.8};
  check.bolt_mm = 8.0;
  return check;
}

const Eigen::Vector3d kHoleA(40, 15, 1.5), kHoleB(70, 44, 1.5);

Inspection scene(const Field& field, double cell_edge_mm) {
  Inspection inspection;
  inspection.run = {"0.1.0", "2026-11-25",
                    "trammel check toolbox-bracket.toml --scan bracket-2.ply"};
  inspection.plan.title = "Toolbox bracket, left";
  inspection.plan.design = "bracket.stl";
  inspection.plan.file = "toolbox-bracket.toml";
  inspection.plan.holes = {hole_check("A", kHoleA), hole_check("B", kHoleB)};
  inspection.design.mesh = bracket();
  inspection.design.triangles_read = inspection.design.mesh.triangles.cols();
  inspection.design.file = "bracket.stl";
  inspection.design.sha256 = std::string(64, '3');
  inspection.design.health.closed = true;
  inspection.design.health.shells = 1;
  inspection.source.file = "bracket-2.ply";
  inspection.source.sha256 = std::string(64, 'b');
  inspection.plan.sha256 = std::string(64, 'c');
  inspection.scan.name = "bracket-2.ply";
  inspection.units.reason = "from sizes: as large as the design when in mm";
  Alignment& alignment = inspection.alignment;
  alignment.T_design_scan.translate(Eigen::Vector3d(10, -20, 5));
  alignment.T_design_scan.rotate(Eigen::AngleAxisd(0.7, Eigen::Vector3d(1, 2, 3).normalized()));
  alignment.method = "best-fit";
  alignment.held_by = "best fit to all it saw";
  alignment.rms_mm = 0.031;
  alignment.overlap = 0.97;
  alignment.iterations = 14;
  alignment.converged = alignment.found = true;
  alignment.standard_error_mm = 0.004;
  alignment.scale = {0.9999, 0.00005};
  inspection.surface.cells = CellTree(inspection.design.mesh, cell_edge_mm).take_cells();
  read_surface(field, inspection.surface);
  scan_surface(inspection);
  summarise(inspection);
  inspection.verdict.uncertainty = {0.05, true, 0.02, 0.004, 0.0};
  return inspection;
}

}  // namespace

Inspection failing_inspection(double cell_edge_mm) {
  Inspection inspection = scene(failing_field, cell_edge_mm);
  Verdict& verdict = inspection.verdict;
  verdict.outcome = Outcome::Fail;
  add_region(inspection, Eigen::Vector3d::UnitX());
  add_region(inspection, -Eigen::Vector3d::UnitX());
  add_region(inspection, Eigen::Vector3d::UnitZ());
  verdict.holes = {hole("A", kHoleA, {0.01, 0.02, 0}, Outcome::Pass),
                   hole("B", kHoleB, {0.05, 1.2, 0}, Outcome::Fail)};
  verdict.holes[1].reasons = {"position 2.40 mm, allowed 0.50 mm"};
  verdict.reasons = {"Region 1 stands 1.2 mm proud, 0.5 mm is allowed.",
                     "Hole B is out of its position zone: 2.40 mm, allowed 0.50 mm."};
  verdict.actions = {"Bend the upright back: 1.2 mm at its top edge brings all of 1 inside.",
                     "Open hole B: to 9.6 mm, then the bolt goes in.",
                     "Scan again after bending; the inside of the bend was not seen."};
  inspection.notes = {"The scan's unit was taken to be mm."};
  return inspection;
}

Inspection passing_inspection(double cell_edge_mm) {
  Inspection inspection = scene(passing_field, cell_edge_mm);
  Verdict& verdict = inspection.verdict;
  verdict.outcome = Outcome::Pass;
  verdict.holes = {hole("A", kHoleA, {0.01, 0.02, 0}, Outcome::Pass),
                   hole("B", kHoleB, {0.04, -0.09, 0}, Outcome::Pass)};
  return inspection;
}

Inspection undecided_inspection(double cell_edge_mm) {
  Inspection inspection = scene(one_sided_field, cell_edge_mm);
  Verdict& verdict = inspection.verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.holes = {hole("A", kHoleA, {0.01, 0.02, 0}, Outcome::Pass),
                   hole("B", kHoleB, {0, 0, 0}, Outcome::Undecided)};
  verdict.holes[1].offset_mm.reset();
  verdict.holes[1].position_mm.reset();
  verdict.holes[1].diameter_mm.reset();
  verdict.holes[1].reasons = {"Its wall was seen by 3 points, 12 are needed."};
  verdict.reasons = {"Too little was seen: 45 % of the surface, the plan asks for 60 %.",
                     "Hole B could not be measured: its wall was seen by 3 points."};
  verdict.actions = {
      "Scan the sides that are hatched as well: turn the part over and join the scans.",
      "Scan into hole B from both ends."};
  return inspection;
}

FormResult sample_form(FormKind kind, std::optional<double> actual, Outcome outcome) {
  FormResult form;
  form.name = "seat";
  form.kind = kind;
  form.measured_as = "flatness of the face at (50.0, 30.0, 3.0)";
  const bool is_angle = kind == FormKind::Angle;
  form.most = is_angle ? 90.5 * kDegree : kind == FormKind::Thickness ? 3.3 : 0.2;
  if (is_angle) form.least = 89.5 * kDegree;
  if (kind == FormKind::Thickness) form.least = 2.7;
  if (form.least) form.nominal = is_angle ? 90.0 * kDegree : 3.0;
  form.tolerance_class = kind == FormKind::Flatness ? "ISO 2768-K" : "";
  form.actual = actual;
  if (kind == FormKind::Thickness && actual) form.lowest = *actual;
  if (kind == FormKind::Thickness && actual) form.highest = *actual + 0.1;
  form.uncertainty = actual ? (is_angle ? 0.1 * kDegree : 0.07) : 0.0;
  form.outcome = outcome;
  form.at_mm = {50, 30, 3};
  if (!actual) form.reasons = {"the face at (50.0, 30.0, 3.0): only 0 % of it was seen"};
  return form;
}

SlotResult sample_slot(Outcome outcome) {
  SlotResult slot;
  slot.name = "left";
  slot.nominal_mm = {30, 20, 1.5};
  slot.nominal_width_mm = 8.0;
  slot.nominal_length_mm = 20.0;
  slot.depth_mm = 3.0;
  slot.is_through = true;
  slot.state = HoleState::Measured;
  slot.position_mm = 1.1;
  slot.offset_mm = Eigen::Vector3d(0, 0.5, 0);
  slot.turn_rad = 0.01;
  slot.width_mm = 8.05;
  slot.length_mm = 20.4;
  slot.standard_error_mm = 0.01;
  slot.points = 100;
  slot.outcome = outcome;
  return slot;
}

DistanceResult sample_distance(std::optional<double> actual_mm, Outcome outcome) {
  DistanceResult distance;
  distance.name = "pitch";
  distance.measured_as = "from hole A to hole B, between the axes, across them";
  distance.drawn_mm = distance.nominal_mm = 36.06;
  distance.least_mm = 35.86;
  distance.most_mm = 36.26;
  distance.tolerance_class = "ISO 2768-m";
  distance.actual_mm = actual_mm;
  distance.uncertainty_mm = actual_mm ? 0.07 : 0.0;
  distance.outcome = outcome;
  distance.from_mm = {40, 15, 1.5};
  distance.to_mm = {70, 44, 1.5};
  if (!actual_mm) distance.reasons = {"hole B: its wall was not seen"};
  return distance;
}

Mate frame_mate() {
  Mate mate;
  mate.file = "frame.ply";
  mate.sha256 = "0123abcd";
  mate.holes.resize(2);
  mate.holes[1].reason = "no flat face was seen about it";
  return mate;
}

}  // namespace trammel::test
