#include "study/pose_study.hpp"

#include <chrono>
#include <cmath>
#include <utility>

#include "support/virtual_scanner.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel::test {
namespace {

constexpr double kNear_mm = 0.25;
constexpr std::size_t kPoints = 40'000;
constexpr double kUnits_mm[] = {25.4, 10.0, 1000.0};

struct Made {
  Scan scan;
  Eigen::Isometry3d T_design_scan;  ///< truth, for mm
  double unit_mm = 1.0;
};

/// The first of some random views that shows 25 to 40 % of the surface, or comes nearest to it.
Eigen::Vector3d view_of_one_side(const PreparedPart& part, Rng rng) {
  constexpr int kTries = 40;
  constexpr double kMiddle = 0.325, kHalf = 0.075;
  Eigen::Vector3d best = rng.direction();
  double off = std::abs(seen_share(part, best) - kMiddle);
  for (int i = 1; i < kTries && off > kHalf; ++i) {
    const Eigen::Vector3d view = rng.direction();
    const double off_here = std::abs(seen_share(part, view) - kMiddle);
    if (off_here >= off) continue;
    best = view;
    off = off_here;
  }
  return best;
}

ScannerSettings settings_of(const PreparedPart& part, Condition condition, int number,
                            const Rng& rng) {
  ScannerSettings settings;
  settings.points = kPoints;
  switch (condition) {
    case Condition::OneSide: settings.views = {view_of_one_side(part, rng.stream("view"))}; break;
    case Condition::AnyOneView: settings.views = {rng.stream("view").direction()}; break;
    case Condition::Noise: settings.noise_mm = 0.15; break;
    case Condition::Strays: settings.stray_share = 0.25; break;  // a fifth of all points
    case Condition::BenchAndClamp: settings.bench = settings.clamp = true; break;
    case Condition::NoNormals: settings.with_normals = false; break;
    case Condition::OtherUnits: settings.unit_mm = kUnits_mm[number % 3]; break;
    default: break;
  }
  return settings;
}

/// Broken off: nothing was scanned beyond two thirds of the longest side.
void take_third_away(Made& made, const Box& box) {
  Eigen::Index along = 0;
  box.size_mm().maxCoeff(&along);
  const double most = box.low_mm[along] + 2.0 / 3.0 * box.size_mm()[along];
  const Eigen::Matrix3Xd in_design = made.T_design_scan * made.scan.points_mm;
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < in_design.cols(); ++i)
    if (in_design(along, i) < most) kept.push_back(i);
  made.scan.points_mm = Eigen::Matrix3Xd(made.scan.points_mm(Eigen::all, kept));
  made.scan.normals = Eigen::Matrix3Xd(made.scan.normals(Eigen::all, kept));
}

Made fused(const Mesh& mesh, const Rng& rng) {
  Rng pose = rng.stream("pose");
  Eigen::Isometry3d T_scan_design = Eigen::Isometry3d::Identity();
  T_scan_design.rotate(pose.rotation());
  T_scan_design.translation() = pose.uniform(0.0, 500.0) * pose.direction();
  Made made{fused_scan(mesh, 0.03, rng.stream("fused")), T_scan_design.inverse()};
  made.scan.points_mm = (T_scan_design * made.scan.points_mm).eval();
  made.scan.normals = (T_scan_design.linear() * made.scan.normals).eval();
  return made;
}

Made scanned(const PreparedPart& part, Condition condition, int number, const Rng& rng) {
  if (condition == Condition::FusedMesh) return fused(part.part.mesh, rng);
  const ScannerSettings settings = settings_of(part, condition, number, rng);
  const Mesh& real = condition == Condition::BentThird ? part.bent : part.part.mesh;
  VirtualScan scan = scan_of(real, settings, rng.stream("scan"));
  Made made{std::move(scan.scan), scan.T_design_scan, settings.unit_mm};
  if (condition == Condition::MissingThird) take_third_away(made, part.box);
  return made;
}

/// Three corners of the part's box, as far as the surface near them goes, picked 0.5 mm off.
Plan plan_of(const PreparedPart& part, Condition condition, const Made& made, Rng rng) {
  Plan plan;
  if (condition != Condition::Pairs) return plan;
  plan.method = AlignMethod::Pairs;
  for (const int corner : {0, 3, 5}) {
    const Eigen::Vector3d at((corner & 1) != 0 ? part.box.high_mm.x() : part.box.low_mm.x(),
                             (corner & 2) != 0 ? part.box.high_mm.y() : part.box.low_mm.y(),
                             (corner & 4) != 0 ? part.box.high_mm.z() : part.box.low_mm.z());
    const Eigen::Vector3d foot = part.design.nearest(at).foot_mm;
    plan.pairs.push_back({foot, made.T_design_scan.inverse() * foot + 0.5 * rng.direction()});
  }
  return plan;
}

double corner_error(const Eigen::Isometry3d& T_design_scan, const Made& made, const Box& box) {
  return corner_error_mm(T_design_scan.inverse(), made.T_design_scan.inverse(), box);
}

double chi_square_of(const Alignment& a, const Made& made) {
  const Eigen::Isometry3d error = a.T_design_scan * made.T_design_scan.inverse();
  const Eigen::AngleAxisd turn(error.linear());
  Eigen::Matrix<double, 6, 1> x;
  x << turn.angle() * turn.axis(), error * a.center_mm - a.center_mm;
  return x.dot(a.covariance.ldlt().solve(x));
}

}  // namespace

std::vector<Condition> all_conditions() {
  return {Condition::AllRound,  Condition::OneSide,      Condition::AnyOneView,
          Condition::Noise,     Condition::Strays,       Condition::BenchAndClamp,
          Condition::BentThird, Condition::MissingThird, Condition::NoNormals,
          Condition::FusedMesh, Condition::OtherUnits,   Condition::Pairs};
}

std::string condition_name(Condition condition) {
  switch (condition) {
    case Condition::AllRound: return "all round";
    case Condition::OneSide: return "one side";
    case Condition::AnyOneView: return "any one view";
    case Condition::Noise: return "noise 0.15 mm";
    case Condition::Strays: return "20 % strays";
    case Condition::BenchAndClamp: return "bench and clamp";
    case Condition::BentThird: return "bent third";
    case Condition::MissingThird: return "missing third";
    case Condition::NoNormals: return "no normals";
    case Condition::FusedMesh: return "fused mesh";
    case Condition::OtherUnits: return "in, cm or m";
    case Condition::Pairs: return "three pairs";
  }
  return {};
}

PreparedPart::PreparedPart(StudyPart made_from)
    : part(std::move(made_from)),
      design(part.mesh),
      bent(with_bent_end(part.mesh, 0.3, 8.0)),
      box(bounding_box(part.mesh.vertices_mm)),
      samples(sample_surface(part.mesh, 1500, Rng(3))),
      rays(CellTree(part.mesh, box.diagonal_mm()).cells()) {}

double seen_share(const PreparedPart& part, const Eigen::Vector3d& towards) {
  const double least_cosine = std::cos(ScannerSettings{}.grazing_limit_deg * kDegree);
  Eigen::Index seen = 0;
  for (Eigen::Index i = 0; i < part.samples.points_mm.cols(); ++i) {
    const Eigen::Vector3d normal = part.samples.normals.col(i);
    if (normal.dot(towards) < least_cosine) continue;
    if (part.rays.is_clear(part.samples.points_mm.col(i), normal, towards)) ++seen;
  }
  return static_cast<double>(seen) / static_cast<double>(part.samples.points_mm.cols());
}

PoseResult try_pose(const PreparedPart& part, Condition condition, int number) {
  const Rng rng =
      Rng(7).stream(part.part.name + condition_name(condition) + std::to_string(number));
  const Made made = scanned(part, condition, number, rng);
  const Plan plan = plan_of(part, condition, made, rng.stream("picks"));
  const auto start = std::chrono::steady_clock::now();
  const Placed placed = place(made.scan, part.design, plan);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  const Alignment& a = placed.alignment;

  PoseResult result;
  result.seconds = took.count();
  result.error_mm = corner_error(a.T_design_scan, made, part.box);
  result.predicted_mm = a.standard_error_mm;
  result.chi_square = chi_square_of(a, made);
  const bool unit = std::abs(placed.units.mm_per_unit / made.unit_mm - 1.0) < 1e-9;
  result.near = unit && result.error_mm <= kNear_mm;
  for (const OtherPose& other : a.others)
    result.listed = result.listed || corner_error(other.T_design_scan, made, part.box) <= kNear_mm;
  result.listed = unit && (result.listed || result.near);
  if (a.is_sure() && placed.units.certain) result.truth = result.near ? Truth::Right : Truth::Wrong;
  result.doubt = !a.doubts.empty()            ? a.doubts.front()
                 : !a.free_directions.empty() ? a.free_directions.front()
                                              : "";
  return result;
}

void PoseTally::add(const PoseResult& result) {
  right += result.truth == Truth::Right ? 1 : 0;
  wrong += result.truth == Truth::Wrong ? 1 : 0;
  unsure += result.truth == Truth::Unsure ? 1 : 0;
  near_but_unsure += result.truth == Truth::Unsure && result.near ? 1 : 0;
  listed += result.truth == Truth::Unsure && result.listed ? 1 : 0;
  seconds.push_back(result.seconds);
  if (result.truth == Truth::Unsure) return;
  errors_mm.push_back(result.error_mm);
  shares.push_back(result.error_mm / result.predicted_mm);
  chi_squares.push_back(result.chi_square);
}

}  // namespace trammel::test
