#include "trammel/compare/prove_readings.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A scan with its readings, all of which the proof is to measure again.
struct Read {
  Mesh design;
  test::VirtualScan scan;
  Eigen::Matrix3Xd normals;
  CompareSettings settings;
  Deviations deviations;

  [[nodiscard]] Proof prove(std::size_t points = 0) const {
    ProofSettings proof;
    proof.points = points;
    return prove_readings(scan.scan, normals, design, scan.T_design_scan, settings, deviations,
                          Rng(1), proof);
  }
  /// The message of the proof that fails; empty when it does not.
  [[nodiscard]] std::string refusal() const {
    try {
      (void)prove();
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::Internal);
      EXPECT_FALSE(error.next().empty());
      return error.what();
    }
    return {};
  }
};

Read read(const Mesh& design, const Mesh& part, bool with_normals = true, double coating_mm = 0.0) {
  test::ScannerSettings settings;
  settings.points = 4000;
  settings.stray_share = 0.01;
  settings.bench = true;
  settings.with_normals = with_normals;
  Read out;
  out.design = design;
  out.scan = test::scan_of(part, settings, Rng(3));
  out.settings.coating_mm = coating_mm;
  const SurfaceIndex index(design);
  out.normals = facing_normals(out.scan.scan, index, out.scan.T_design_scan);
  out.deviations = compare(out.scan.scan, out.normals, index, out.scan.T_design_scan, out.settings);
  return out;
}

const Read& bracket() {
  static const Read kRead = read(test::bracket(), test::bracket());
  return kRead;
}

TEST(ProveReadings, AgreesWithEveryReadingOfGoodAndBadParts) {
  const auto bent = [](const Vector3d& p) { return Vector3d(0, 0, 2e-4 * p.x() * p.x()); };
  for (const bool with_normals : {true, false}) {
    for (const double coating_mm : {0.0, 0.05}) {
      EXPECT_EQ(read(test::bracket(), test::bracket(), with_normals, coating_mm).refusal(), "");
    }
    const Mesh bracket = test::bracket(2.0);
    EXPECT_EQ(
        read(bracket, test::displaced(test::refined(bracket, 8.0), bent), with_normals).refusal(),
        "");
    EXPECT_EQ(read(test::housing(), test::housing(), with_normals).refusal(), "");
  }
}

TEST(ProveReadings, AgreesWhereMaterialIsMissingAndHolesAreClosed) {
  const Mesh drilled = test::plate(80, 60, 3, {{{20, 20}, 9.0}, {{60, 40}, 6.0}});
  const Mesh plain = test::plate(80, 60, 3);
  const Read closed = read(drilled, plain), open = read(plain, drilled);
  EXPECT_EQ(closed.refusal(), "");
  EXPECT_EQ(open.refusal(), "");
  EXPECT_GT(std::count(closed.deviations.inferred.begin(), closed.deviations.inferred.end(), 1), 0);
}

TEST(ProveReadings, CountsWhatItMeasuredAndByHowMuchItDiffered) {
  const Proof all = bracket().prove();
  EXPECT_EQ(all.points, static_cast<std::size_t>(bracket().scan.scan.size()));
  EXPECT_LT(all.largest_mm, 1e-9);  // rounding of coordinates of 100 mm, some hundred times over
  EXPECT_EQ(bracket().prove(1000).points, 1000U);
}

TEST(ProveReadings, DrawsFewerPointsOfALargeDesign) {
  ProofSettings proof;
  proof.most_work = 100.0 * static_cast<double>(bracket().design.triangles.cols());
  const Read& one = bracket();
  const auto points = [&] {
    return prove_readings(one.scan.scan, one.normals, one.design, one.scan.T_design_scan,
                          one.settings, one.deviations, Rng(1), proof)
        .points;
  };
  EXPECT_EQ(points(), 100U);
  proof.most_work = 1.0;
  EXPECT_EQ(points(), 10U);  // never none
}

/// A point that was measured on the inside of a triangle, not at its edge.
Index measured_point(const Read& one) {
  for (Index i = 0; i < one.scan.scan.size(); ++i) {
    if (one.deviations.reading[static_cast<std::size_t>(i)] != Reading::Measured) continue;
    if (std::abs(one.deviations.signed_mm[i]) < 0.01) continue;
    const Vector3d p = one.scan.T_design_scan * one.scan.scan.points_mm.col(i);
    const Vector3d off = p - one.deviations.foot_mm.col(i);
    if (std::abs(off.norm() - std::abs(off.z())) < 1e-9) return i;
  }
  ADD_FAILURE() << "no such point";
  return 0;
}

/// What the proof says of one corrupted reading among all others that are right.
std::string corrupted(const std::function<void(Deviations&, Index)>& corrupt) {
  Read one = bracket();
  corrupt(one.deviations, measured_point(one));
  return one.refusal();
}

TEST(ProveReadings, RefusesOneCorruptedReadingAmongAll) {
  using D = Deviations;
  EXPECT_EQ(corrupted([](D&, Index) {}), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.signed_mm[i] += 2e-6; }), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.signed_mm[i] = -d.signed_mm[i]; }), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.signed_mm[i] = 0.0; }), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.signed_mm[i] = std::nan(""); }), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.triangle[i] = (d.triangle[i] + 50) % 100; }), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.triangle[i] = -1; }), "");
  EXPECT_NE(corrupted([](D& d, Index i) { d.foot_mm(0, i) += 1e-3; }), "");
  EXPECT_NE(
      corrupted([](D& d, Index i) { d.reading[static_cast<std::size_t>(i)] = Reading::TooFar; }),
      "");
  EXPECT_NE(corrupted([](D& d, Index i) {
              d.reading[static_cast<std::size_t>(i)] = Reading::TooFar;
              d.signed_mm[i] = std::nan("");
            }),
            "");
}

TEST(ProveReadings, RefusesAFaceThatIsNeitherTheNearestNorTheOneThatFaces) {
  // All is consistent about this reading but that it is of the sheet's other face.
  Read one = bracket();
  const Index i = measured_point(one);
  const Vector3d p = one.scan.T_design_scan * one.scan.scan.points_mm.col(i);
  const SurfaceIndex index(one.design);
  const SurfacePoint other = index.nearest_facing(p, -one.normals.col(i), 0.5);
  ASSERT_TRUE(other.found());
  one.deviations.triangle[i] = other.triangle;
  one.deviations.foot_mm.col(i) = other.foot_mm;
  one.deviations.signed_mm[i] =
      std::copysign(other.distance_mm, index.face_normal(other.triangle).dot(p - other.foot_mm));
  EXPECT_NE(one.refusal().find("over all triangles"), std::string::npos);
}

TEST(ProveReadings, RefusesReadingsOfAnotherPlace) {
  Read moved = bracket();
  moved.scan.T_design_scan.pretranslate(Vector3d(0, 0, 0.01));
  EXPECT_NE(moved.refusal(), "");
  Read other_design = bracket();
  other_design.design = test::bracket(3.1);
  EXPECT_NE(other_design.refusal(), "");
}

TEST(ProveReadings, RefusesAPointThatWasSaidToBeBesideNothing) {
  Read one = bracket();
  for (std::size_t i = 0; i < one.deviations.reading.size(); ++i) {
    if (one.deviations.reading[i] != Reading::TooFar) continue;
    one.deviations.reading[i] = Reading::Beside;
    EXPECT_NE(one.refusal().find("nothing of the design within reach"), std::string::npos);
    return;
  }
  FAIL() << "the bench should lie too far";
}

}  // namespace
}  // namespace trammel
