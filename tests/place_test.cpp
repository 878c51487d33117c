/// A scan that is moved, turned or written in another order gets the same sheet, but for rounding.

#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/shuffled_order.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/inspect.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Vector3d;
using Json = nlohmann::json;

Isometry3d some_motion() {
  Rng rng(77);
  Isometry3d motion(rng.rotation());
  motion.pretranslate(400.0 * rng.direction());
  return motion;
}

Scan moved(Scan scan, const Isometry3d& motion) {
  scan.points_mm = motion * scan.points_mm;
  if (scan.has_normals()) scan.normals = motion.linear() * scan.normals;
  return scan;
}

Scan shuffled(Scan scan) {
  const std::vector<Index> order = test::shuffled_order(scan.size());
  scan.points_mm = scan.points_mm(Eigen::all, order).eval();
  if (scan.has_normals()) scan.normals = scan.normals(Eigen::all, order).eval();
  return scan;
}

/// Result of a check without the poses, which are of the file's frame.
Json sheet_of(const Mesh& design, const Scan& scan, const Plan& plan = {}) {
  Json out = Json::parse(result_json(inspect(test::design_of(design), test::raw_scan(scan), plan,
                                             {"test", "2026-01-01", "check"})));
  out["alignment"].erase("scan_to_design");
  for (Json& other : out["alignment"]["others"])
    other.erase("scan_to_design");
  return out;
}

/// The largest difference between figures of one place; anything else that differs is a failure.
double largest_difference(const Json& a, const Json& b, const std::string& path = "") {
  if (a.is_number() && b.is_number())
    return std::abs(a.get<double>() - b.get<double>()) / std::max(1.0, std::abs(a.get<double>()));
  if (!a.is_structured() || a.type() != b.type() || a.size() != b.size()) {
    EXPECT_EQ(a, b) << path;
    return 0.0;
  }
  double largest = 0.0;
  for (const auto& item : a.items()) {
    const auto at = Json::json_pointer("/" + item.key());
    EXPECT_TRUE(b.contains(at)) << path << "/" << item.key();
    if (b.contains(at))
      largest = std::max(largest, largest_difference(item.value(), b[at], path + "/" + item.key()));
  }
  return largest;
}

struct Case {
  Mesh design, made;
  bool normals;
  const char* what;
};

/// A good part; one with a leaning leg; one that fits in six turns; each with strays.
std::vector<Case> cases() {
  const Mesh bracket = test::bracket(), housing = test::housing(), flange = test::flange(6);
  const Mesh leaning = test::displaced(test::refined(bracket, 2.0), [](const Vector3d& p) {
    return Vector3d(0.02 * std::max(0.0, p.z() - 5.0), 0, 0);
  });
  return {{housing, housing, false, "good housing"},
          {bracket, leaning, true, "leaning bracket"},
          {flange, flange, true, "flange"}};
}

TEST(Place, AMovedAndShuffledScanGetsTheSameSheet) {
  for (const Case& one : test::some_of(cases(), 1)) {
    SCOPED_TRACE(one.what);
    test::ScannerSettings settings;
    settings.points = test::rounds(20000, 30000);
    settings.with_normals = one.normals;
    settings.stray_share = 0.01;
    const Scan scan = test::scan_of(one.made, settings, Rng(3)).scan;
    const Json sheet = sheet_of(one.design, scan);
    const Scan other = moved(shuffled(scan), some_motion());
    EXPECT_LT(largest_difference(sheet, sheet_of(one.design, other)), 1e-6);
  }
}

TEST(Place, PosesAreToldOfTheFileAsItWas) {
  const Mesh part = test::bracket();
  test::ScannerSettings settings;
  settings.points = 30000;
  const test::VirtualScan made = test::scan_of(part, settings, Rng(4));
  Plan plan;
  for (const Vector3d& at : {Vector3d(20, 0, 0), Vector3d(0, 30, 5), Vector3d(10, 10, 40)})
    plan.pairs.push_back({at, made.T_design_scan.inverse() * at});
  const SurfaceIndex design(part);
  for (const AlignMethod method :
       {AlignMethod::BestFit, AlignMethod::Pairs, AlignMethod::AsScanned}) {
    plan.method = method;
    const Scan scan =
        method == AlignMethod::AsScanned ? moved(made.scan, made.T_design_scan) : made.scan;
    const Isometry3d truth =
        method == AlignMethod::AsScanned ? Isometry3d::Identity() : made.T_design_scan;
    const Placed placed = place(scan, design, plan);
    EXPECT_TRUE(placed.alignment.T_design_scan.isApprox(truth, 1e-3));
    std::set<double> nearest;
    for (Index i = 0; i < 50; ++i)
      nearest.insert(
          (scan.points_mm.colwise() - placed.scan.points_mm.col(i)).colwise().norm().minCoeff());
    EXPECT_LT(*nearest.rbegin(), 1e-9) << "points are not those of the file";
    for (const PairResidual& pair : placed.alignment.pairs)
      EXPECT_LT((made.T_design_scan * pair.scan_mm - pair.design_mm).norm(), 1e-9);
  }
}

TEST(Place, AGivenUnitThatCannotBeSaysSo) {
  const Mesh part = test::bracket();
  test::ScannerSettings settings;
  settings.points = 20000;
  settings.random_pose = false;
  const test::VirtualScan made = test::scan_of(part, settings, Rng(7));
  Plan plan;
  plan.method = AlignMethod::AsScanned;  // nothing is searched for
  const auto doubts = [&] { return place(made.scan, SurfaceIndex(part), plan).alignment.doubts; };
  EXPECT_TRUE(doubts().empty());
  plan.scan_units = Unit::Cm;
  ASSERT_FALSE(doubts().empty());
  EXPECT_NE(doubts().back().find("taken to be in cm"), std::string::npos) << doubts().back();
}

/// Seen from above alone, a coat would lift the part by its own thickness.
TEST(Place, ACoatDoesNotPushThePart) {
  const Mesh part = test::bracket();
  constexpr double kCoat_mm = 0.2;
  test::ScannerSettings settings;
  settings.points = test::rounds(20000, 30000);
  settings.views = {Vector3d(0.5, 0.2, 1).normalized(), Vector3d(-0.3, 0.5, 1).normalized(),
                    Vector3d(0.4, -0.5, 1).normalized()};
  for (const bool with_normals : test::some_of<bool>({true, false}, 1)) {
    test::VirtualScan made = test::scan_of(part, settings, Rng(6));
    made.scan.points_mm += kCoat_mm * made.scan.normals;
    if (!with_normals) made.scan.normals.resize(3, 0);
    Plan plan;
    const auto error_mm = [&] {
      const Isometry3d T_design_scan =
          place(made.scan, SurfaceIndex(part), plan).alignment.T_design_scan;
      return test::corner_error_mm(T_design_scan.inverse(), made.T_design_scan.inverse(),
                                   bounding_box(part.vertices_mm));
    };
    if (with_normals) {
      EXPECT_GT(error_mm(), 0.1);
    }
    plan.coating_mm = kCoat_mm;
    EXPECT_LT(error_mm(), 0.03) << with_normals;
  }
}

/// To the last digit: the plan says that the file's frame is the design's.
TEST(Place, AScanHeldAsScannedIsNotMovedAtAll) {
  const Mesh part = test::bracket();
  const test::VirtualScan made = test::scan_of(part, {}, Rng(5));
  Plan plan;
  plan.method = AlignMethod::AsScanned;
  const Placed placed = place(moved(made.scan, made.T_design_scan), SurfaceIndex(part), plan);
  EXPECT_EQ(placed.alignment.T_design_scan.matrix(), Eigen::Matrix4d::Identity());
}

}  // namespace
}  // namespace trammel
