#include "trammel/changes/lone_surfaces.hpp"

#include <gtest/gtest.h>

#include <vector>

#include "support/wall_points.hpp"
#include "trammel/base/random.hpp"
#include "trammel/changes/measure_changes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Points with normals, one every 2 mm² of each face on average, 0.03 mm noise.
class Maker {
 public:
  explicit Maker(std::uint64_t seed) : rng_(seed) {}

  /// The parallelogram from `from` along two sides; normal along their cross product.
  Maker& face(const Vector3d& from, const Vector3d& side, const Vector3d& other) {
    const Vector3d normal = side.cross(other).normalized();
    const auto count = static_cast<int>(0.5 * side.cross(other).norm());
    for (int i = 0; i < count; ++i) {
      points_.emplace_back(from + rng_.uniform(0.0, 1.0) * side + rng_.uniform(0.0, 1.0) * other +
                           0.03 * rng_.normal() * normal);
      normals_.push_back(normal);
    }
    return *this;
  }

  /// Top, and bottom when asked, of a plate 4 mm thick on [0, length] × [0, 120].
  Maker& plate(double length_mm = 160.0, bool bottom = false) {
    face({0, 0, 0}, {length_mm, 0, 0}, {0, 120, 0});
    if (bottom) face({0, 0, -4}, {0, 120, 0}, {length_mm, 0, 0});
    return *this;
  }

  /// Top and sides of a block that stands on z = 0; what it covers is taken out.
  Maker& block(const Vector3d& low, const Vector3d& high) {
    const Vector3d d = high - low, x(d.x(), 0, 0), y(0, d.y(), 0), z(0, 0, d.z());
    std::vector<Vector3d> points, normals;
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const Vector3d& p = points_[i];
      const bool covered = std::abs(p.z()) < 1.0 && p.x() > low.x() && p.x() < high.x() &&
                           p.y() > low.y() && p.y() < high.y();
      if (covered) continue;
      points.push_back(p);
      normals.push_back(normals_[i]);
    }
    points_ = points;
    normals_ = normals;
    face(low + z, x, y);
    face(low, x, z).face(low + y, z, x);
    return face(low, z, y).face(low + x, y, z);
  }

  [[nodiscard]] Scan scan() const {
    Scan out;
    out.name = "made.xyz";
    out.points_mm.resize(3, static_cast<Eigen::Index>(points_.size()));
    out.normals.resize(3, out.points_mm.cols());
    for (std::size_t i = 0; i < points_.size(); ++i) {
      out.points_mm.col(static_cast<Eigen::Index>(i)) = points_[i];
      out.normals.col(static_cast<Eigen::Index>(i)) = normals_[i];
    }
    return out;
  }

 private:
  Rng rng_;
  std::vector<Vector3d> points_, normals_;
};

Changes between(const Scan& before, const Scan& after) {
  ScanFit fit;
  fit.alignment.found = fit.alignment.converged = true;
  fit.covariance = Matrix6d::Identity() * 1e-12;
  fit.noise_mm = 0.03;
  fit.sides_known = true;
  return measure_changes(before, after, fit, {});
}

bool reasons_say(const Changes& changes, const std::string& words) {
  for (const std::string& reason : changes.reasons)
    if (reason.find(words) != std::string::npos) return true;
  return false;
}

const Vector3d kLow(60, 40, 0), kHigh(100, 80, 50);

// Each of these was called unchanged: what one scan alone shows was looked at only where the other
// shows all around it.
TEST(LoneSurfaces, OfABlockTakenOffOrPutOnForbidUnchanged) {
  const Scan with = Maker(1).plate().block(kLow, kHigh).scan(), without = Maker(2).plate().scan();
  const Changes off = between(with, without), on = between(without, with);
  EXPECT_NE(off.outcome, ChangesOutcome::Unchanged);
  EXPECT_NE(on.outcome, ChangesOutcome::Unchanged);
  ASSERT_FALSE(off.open_places.empty());
  EXPECT_TRUE(off.open_places[0].in_old);
  ASSERT_FALSE(on.open_places.empty());
  EXPECT_FALSE(on.open_places[0].in_old);
}

TEST(LoneSurfaces, OfAThinTabAndOfABlockAtTheEdgeForbidUnchanged) {
  const Scan bare = Maker(3).plate().scan();
  const Scan tab = Maker(4).plate().block({60, 40, 0}, {62, 90, 50}).scan();
  const Changes off = between(tab, bare);
  EXPECT_EQ(off.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(reasons_say(off, "it may have been taken away since"));
  const Changes on = between(bare, tab);
  EXPECT_EQ(on.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(reasons_say(on, "it may have been added since"));
  const Scan corner = Maker(5).plate().block({130, 90, 0}, {160, 120, 60}).scan();
  EXPECT_NE(between(corner, bare).outcome, ChangesOutcome::Unchanged);
  EXPECT_NE(between(bare, corner).outcome, ChangesOutcome::Unchanged);
}

TEST(LoneSurfaces, OfAPieceCutOffForbidUnchangedButAStripOfACylinderDoesNot) {
  const Scan whole = Maker(6).plate(160, true).scan();
  for (const double cut : {20.0, 40.0}) {
    const Changes shorter = between(whole, Maker(7).plate(160 - cut, true).scan());
    EXPECT_EQ(shorter.outcome, ChangesOutcome::Undecided) << cut;
    EXPECT_TRUE(reasons_say(shorter, "Only the old scan shows a surface")) << cut;
    EXPECT_EQ(between(Maker(7).plate(160 - cut, true).scan(), whole).outcome,
              ChangesOutcome::Undecided)
        << cut;
  }
  // 25 points lie in a cylinder of 8 mm.
  EXPECT_EQ(between(whole, Maker(8).plate(155, true).scan()).outcome, ChangesOutcome::Unchanged);
}

TEST(LoneSurfaces, AreNotTheFarSideOfWhatWasSeenAgain) {
  const Scan both = Maker(9).plate(160, true).scan(), above = Maker(10).plate(160, false).scan();
  // Half of the old surface was seen again: enough only when so little is asked for.
  EXPECT_TRUE(between(both, above).open_places.empty());
  EXPECT_TRUE(between(above, both).open_places.empty());
  EXPECT_EQ(between(above, both).outcome, ChangesOutcome::Unchanged);
}

TEST(LoneSurfaces, AreNotWhatTheOtherScansSurfaceHides) {
  // A bay 10 mm deep and 90 mm wide, closed but for a slit: its floor was seen by one scan alone.
  const auto bay = [](std::uint64_t seed) {
    return Maker(seed).plate(160).face({20, 15, 10}, {120, 0, 0}, {0, 90, 0});
  };
  const Scan deep = bay(11).scan(), shaded = bay(12).scan();
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < shaded.size(); ++i) {
    const Vector3d p = shaded.points_mm.col(i);
    const bool below =
        p.z() < 5.0 && std::abs(p.x() - 80.0) < 50.0 && std::abs(p.y() - 60.0) < 35.0;
    if (!below) kept.push_back(i);
  }
  Scan seen = shaded;
  seen.points_mm = shaded.points_mm(Eigen::all, kept);
  seen.normals = shaded.normals(Eigen::all, kept);
  EXPECT_TRUE(between(deep, seen).open_places.empty());
  EXPECT_EQ(between(deep, seen).outcome, ChangesOutcome::Unchanged);
}

}  // namespace
}  // namespace trammel
