/// The workshop parts of shapes.hpp, put together face by face.

#include "support/shapes.hpp"

#include "support/solid_builder.hpp"
#include "trammel/base/constants.hpp"

namespace trammel::test {
namespace {

const Eigen::Vector3d kX = Eigen::Vector3d::UnitX();
const Eigen::Vector3d kY = Eigen::Vector3d::UnitY();
const Eigen::Vector3d kZ = Eigen::Vector3d::UnitZ();

/// Rectangle at height z, counter-clockwise seen from above.
Loop rectangle(double x0, double y0, double x1, double y1, double z) {
  return {{x0, y0, z}, {x1, y0, z}, {x1, y1, z}, {x0, y1, z}};
}

std::vector<Loop> with_holes(Loop outline, const std::vector<Loop>& holes,
                             const Eigen::Vector3d& shift_mm = Eigen::Vector3d::Zero()) {
  std::vector<Loop> loops{std::move(outline)};
  for (const Loop& hole : holes)
    loops.push_back(shifted(hole, shift_mm));
  return loops;
}

// The housing, mm.
constexpr double kLength = 110, kDepth = 75, kHeight = 40, kWall = 2.4, kFloor = 3;
/// Where its bosses stand on its floor.
constexpr double kBosses_mm[4][2] = {{9, 9}, {98, 12}, {10, 64}, {84, 62}};

/// Adds a boss with its blind hole; returns the loop where it meets the floor.
Loop add_boss(SolidBuilder& solid, const Eigen::Vector3d& at_mm) {
  const Eigen::Vector3d rise = 18.0 * kZ, depth = 12.0 * kZ;
  const Loop foot = circle(at_mm, kZ, 7.0, 40);
  const Loop bottom = circle(at_mm + rise - depth, kZ, 3.2, 32);
  solid.wall(foot, rise);
  solid.face({shifted(foot, rise), shifted(bottom, depth)}, kZ);
  solid.hole_wall(bottom, depth);
  solid.face({bottom}, kZ);
  return foot;
}

/// The four walls inside and outside, their rim, and the opening through the one at y = 0.
void add_walls(SolidBuilder& solid, const Loop& outer, const Loop& inner, const Loop& opening) {
  const Eigen::Vector3d outer_up = kHeight * kZ, inner_up = (kHeight - kFloor) * kZ;
  const auto side = [](const Loop& loop, std::size_t i, const Eigen::Vector3d& up) -> Loop {
    const Eigen::Vector3d &a = loop[i], &b = loop[(i + 1) % 4];
    return {a, b, b + up, a + up};
  };
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d outward = (outer[(i + 1) % 4] - outer[i]).cross(kZ).normalized();
    const std::vector<Loop> holes = i == 0 ? std::vector<Loop>{opening} : std::vector<Loop>{};
    solid.face(with_holes(side(outer, i, outer_up), holes), outward);
    solid.face(with_holes(side(inner, i, inner_up), holes, kWall * kY), -outward);
  }
  solid.hole_wall(opening, kWall * kY);
  solid.face({shifted(outer, outer_up), shifted(inner, inner_up)}, kZ);
}

}  // namespace

Mesh bracket(double thickness_mm) {
  BracketOptions options;
  options.thickness_mm = thickness_mm;
  return bracket(options);
}

Mesh bracket(const BracketOptions& options) {
  constexpr double kBase = 90, kWidth = 60, kUpright = 55, kSlopeFrom = 45, kSlopeTo = 40;
  const double t = options.thickness_mm;
  const Eigen::Vector2d off = options.second_base_hole_off_mm;
  const std::vector<Loop> base_holes{circle({40, 15, 0}, kZ, 8.4, 48),
                                     circle({70 + off.x(), 44 + off.y(), 0}, kZ, 8.4, 48)};
  const std::vector<Loop> upright_holes{circle({0, 12, 40}, kX, 6.6, 48),
                                        circle({0, 34, 28}, kX, 22.0, 64)};
  const auto upright = [&](double x, double foot) -> Loop {
    return {{x, 0, foot},
            {x, kWidth, foot},
            {x, kWidth, kSlopeTo},
            {x, kSlopeFrom, kUpright},
            {x, 0, kUpright}};
  };
  const auto profile = [&](double y, double height) -> Loop {
    return {{0, y, 0}, {kBase, y, 0}, {kBase, y, t}, {t, y, t}, {t, y, height}, {0, y, height}};
  };
  SolidBuilder solid;
  solid.face(with_holes(rectangle(0, 0, kBase, kWidth, 0), base_holes), -kZ);
  solid.face(with_holes(rectangle(t, 0, kBase, kWidth, t), base_holes, t * kZ), kZ);
  solid.face(with_holes(upright(0, 0), upright_holes), -kX);
  solid.face(with_holes(upright(t, t), upright_holes, t * kX), kX);
  solid.face({profile(0, kUpright)}, -kY);
  solid.face({profile(kWidth, kSlopeTo)}, kY);
  solid.face({{{kBase, 0, 0}, {kBase, kWidth, 0}, {kBase, kWidth, t}, {kBase, 0, t}}}, kX);
  solid.face({rectangle(0, 0, t, kSlopeFrom, kUpright)}, kZ);
  solid.face({{{0, kSlopeFrom, kUpright},
               {t, kSlopeFrom, kUpright},
               {t, kWidth, kSlopeTo},
               {0, kWidth, kSlopeTo}}},
             Eigen::Vector3d(0, 1, 1).normalized());
  for (const Loop& hole : base_holes)
    solid.hole_wall(hole, t * kZ);
  for (const Loop& hole : upright_holes)
    solid.hole_wall(hole, t * kX);
  return solid.build();
}

Mesh housing() {
  const Loop outer = rectangle(0, 0, kLength, kDepth, 0);
  const Loop inner = rectangle(kWall, kWall, kLength - kWall, kDepth - kWall, kFloor);
  const Loop opening = circle({78, 0, 22}, kY, 14.0, 56);
  const std::vector<Loop> mounting{circle({20, 37, 0}, kZ, 6.6, 48),
                                   circle({92, 30, 0}, kZ, 6.6, 48)};
  SolidBuilder solid;
  solid.face(with_holes(outer, mounting), -kZ);
  for (const Loop& hole : mounting)
    solid.hole_wall(hole, kFloor * kZ);
  std::vector<Loop> floor = with_holes(inner, mounting, kFloor * kZ);
  for (const auto& [x, y] : kBosses_mm)
    floor.push_back(add_boss(solid, {x, y, kFloor}));
  solid.face(floor, kZ);
  add_walls(solid, outer, inner, opening);
  return solid.build();
}

Mesh flange(int bolts) {
  constexpr double kDiameter = 90, kHub = 46, kBore = 25, kBoltCircle = 68, kBoltHole = 9;
  constexpr double kThickness = 8, kHubRise = 14;
  const int segments = bolts * ((95 + bolts) / bolts);  // at least 96, the same in every turn
  const auto ring = [&](double diameter_mm) {
    return circle({0, 0, 0}, kZ, diameter_mm, segments);
  };
  // One hole turned around, so that its corners turn along and the mesh is as symmetric as the
  // part.
  std::vector<Loop> holes;
  for (int bolt = 0; bolt < bolts; ++bolt) {
    const Eigen::AngleAxisd turn(2.0 * kPi * bolt / bolts, kZ);
    Loop& hole = holes.emplace_back(circle({0.5 * kBoltCircle, 0, 0}, kZ, kBoltHole, 36));
    for (Eigen::Vector3d& corner : hole)
      corner = (turn * corner).eval();
  }

  const Eigen::Vector3d plate_up = kThickness * kZ, hub_up = kHubRise * kZ;
  const Eigen::Vector3d whole_up = plate_up + hub_up;
  std::vector<Loop> below = with_holes(ring(kDiameter), holes);
  below.push_back(ring(kBore));
  std::vector<Loop> above = with_holes(shifted(ring(kDiameter), plate_up), holes, plate_up);
  above.push_back(shifted(ring(kHub), plate_up));
  SolidBuilder solid;
  solid.face(below, -kZ);
  solid.face(above, kZ);
  solid.face({shifted(ring(kHub), whole_up), shifted(ring(kBore), whole_up)}, kZ);
  solid.wall(ring(kDiameter), plate_up);
  solid.wall(shifted(ring(kHub), plate_up), hub_up);
  solid.hole_wall(ring(kBore), whole_up);
  for (const Loop& hole : holes)
    solid.hole_wall(hole, plate_up);
  return solid.build();
}

}  // namespace trammel::test
