#include "study/random_parts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "support/solid_builder.hpp"
#include "trammel/base/constants.hpp"

namespace trammel::test {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

const Vector3d kAlongX = Vector3d::UnitX();
const Vector3d kAlongY = Vector3d::UnitY();
const Vector3d kAlongZ = Vector3d::UnitZ();
constexpr int kFacets = 48;
constexpr double kBlindHole_mm = 3.0, kBlindShare = 0.6;

Loop box_loop(double x0, double y0, double x1, double y1, double z) {
  return {{x0, y0, z}, {x1, y0, z}, {x1, y1, z}, {x0, y1, z}};
}

Loop hole_loop(const Panel& panel, const PartHole& hole) {
  return circle(panel.at(hole.at_mm.x(), hole.at_mm.y()), -panel.normal, hole.diameter_mm, kFacets);
}

/// Holes of one panel, at its outer face or moved to its inner one.
std::vector<Loop> face_loops(const Recipe& recipe, std::size_t panel, Loop outline, bool inner) {
  const Panel at = panels_of(recipe)[panel];
  std::vector<Loop> loops{std::move(outline)};
  for (const PartHole& hole : recipe.holes) {
    if (hole.panel != panel) continue;
    const Loop loop = hole_loop(at, hole);
    loops.push_back(inner ? shifted(loop, -at.thickness_mm * at.normal) : loop);
  }
  return loops;
}

void add_hole_walls(SolidBuilder& solid, const Recipe& recipe) {
  const std::vector<Panel> panels = panels_of(recipe);
  for (const PartHole& hole : recipe.holes) {
    const Panel& panel = panels[hole.panel];
    solid.hole_wall(hole_loop(panel, hole), -panel.thickness_mm * panel.normal);
  }
}

/// With one corner cut off at a slope.
Loop plate_outline(const Recipe& r, double z) {
  return {{0, 0, z},
          {r.length_mm, 0, z},
          {r.length_mm, r.width_mm - 0.6 * r.cut_mm, z},
          {r.length_mm - r.cut_mm, r.width_mm, z},
          {0, r.width_mm, z}};
}

void add_plate(SolidBuilder& solid, const Recipe& r) {
  const Loop low = plate_outline(r, 0.0);
  solid.face(face_loops(r, 0, shifted(low, r.thickness_mm * kAlongZ), false), kAlongZ);
  solid.face(face_loops(r, 0, low, true), -kAlongZ);
  solid.wall(low, r.thickness_mm * kAlongZ);
}

void add_bracket(SolidBuilder& solid, const Recipe& r) {
  const double t = r.thickness_mm, L = r.length_mm, W = r.width_mm, H = r.height_mm;
  const double slope_y = W - r.cut_mm, slope_z = H - 0.6 * r.cut_mm;
  const auto upright = [&](double x, double foot) -> Loop {
    return {{x, 0, foot}, {x, W, foot}, {x, W, slope_z}, {x, slope_y, H}, {x, 0, H}};
  };
  const auto profile = [&](double y, double height) -> Loop {
    return {{0, y, 0}, {L, y, 0}, {L, y, t}, {t, y, t}, {t, y, height}, {0, y, height}};
  };
  solid.face(face_loops(r, 0, box_loop(0, 0, L, W, 0), false), -kAlongZ);
  solid.face(face_loops(r, 0, box_loop(t, 0, L, W, t), true), kAlongZ);
  solid.face(face_loops(r, 1, upright(0, 0), false), -kAlongX);
  solid.face(face_loops(r, 1, upright(t, t), true), kAlongX);
  solid.face({profile(0, H)}, -kAlongY);
  solid.face({profile(W, slope_z)}, kAlongY);
  solid.face({{{L, 0, 0}, {L, W, 0}, {L, W, t}, {L, 0, t}}}, kAlongX);
  solid.face({box_loop(0, 0, t, slope_y, H)}, kAlongZ);
  solid.face({{{0, slope_y, H}, {t, slope_y, H}, {t, W, slope_z}, {0, W, slope_z}}},
             Vector3d(0, H - slope_z, W - slope_y).normalized());
}

void add_channel(SolidBuilder& solid, const Recipe& r) {
  const double t = r.thickness_mm, L = r.length_mm, W = r.width_mm;
  const double left = r.height_mm, right = r.other_height_mm;
  const auto upright = [&](double x, double foot, double top) -> Loop {
    return {{x, 0, foot}, {x, L, foot}, {x, L, top}, {x, 0, top}};
  };
  solid.face(face_loops(r, 0, box_loop(0, 0, W, L, 0), false), -kAlongZ);
  solid.face(face_loops(r, 0, box_loop(t, 0, W - t, L, t), true), kAlongZ);
  solid.face(face_loops(r, 1, upright(0, 0, left), false), -kAlongX);
  solid.face(face_loops(r, 1, upright(t, t, left), true), kAlongX);
  solid.face(face_loops(r, 2, upright(W, 0, right), false), kAlongX);
  solid.face(face_loops(r, 2, upright(W - t, t, right), true), -kAlongX);
  solid.face({box_loop(0, 0, t, L, left)}, kAlongZ);
  solid.face({box_loop(W - t, 0, W, L, right)}, kAlongZ);
  for (const double y : {0.0, L}) {
    solid.face({{{0, y, 0},
                 {W, y, 0},
                 {W, y, right},
                 {W - t, y, right},
                 {W - t, y, t},
                 {t, y, t},
                 {t, y, left},
                 {0, y, left}}},
               y > 0.0 ? kAlongY : Vector3d(-kAlongY));
  }
}

/// Returns the loop where it meets the floor.
Loop add_foot(SolidBuilder& solid, const Recipe& r, const Foot& foot) {
  const Vector3d at(foot.at_mm.x(), foot.at_mm.y(), r.floor_mm), up = foot.height_mm * kAlongZ;
  if (foot.diameter_mm <= 0.0) {
    const double half = 0.5 * foot.length_mm, thick = 0.5 * r.thickness_mm;
    const Loop loop =
        box_loop(at.x() - half, at.y() - thick, at.x() + half, at.y() + thick, at.z());
    solid.wall(loop, up);
    solid.face({shifted(loop, up)}, kAlongZ);
    return loop;
  }
  const Vector3d depth = kBlindShare * up;
  const Loop loop = circle(at, kAlongZ, foot.diameter_mm, kFacets);
  const Loop bottom = circle(at + up - depth, kAlongZ, kBlindHole_mm, kFacets);
  solid.wall(loop, up);
  solid.face({shifted(loop, up), shifted(bottom, depth)}, kAlongZ);
  solid.hole_wall(bottom, depth);
  solid.face({bottom}, kAlongZ);
  return loop;
}

void add_housing(SolidBuilder& solid, const Recipe& r) {
  const double t = r.thickness_mm, L = r.length_mm, W = r.width_mm, H = r.height_mm;
  const Loop outer = box_loop(0, 0, L, W, 0), inner = box_loop(t, t, L - t, W - t, r.floor_mm);
  std::vector<Loop> floor = face_loops(r, 0, inner, true);
  for (const Foot& foot : r.feet)
    floor.push_back(add_foot(solid, r, foot));
  solid.face(floor, kAlongZ);
  solid.face(face_loops(r, 0, outer, false), -kAlongZ);
  const auto side = [](const Loop& loop, std::size_t a, std::size_t b, double top) -> Loop {
    const Vector3d &p = loop[a], &q = loop[b];
    return {p, q, {q.x(), q.y(), top}, {p.x(), p.y(), top}};
  };
  const std::vector<Panel> panels = panels_of(r);
  constexpr std::size_t kSides[4][2] = {{0, 1}, {2, 3}, {3, 0}, {1, 2}};
  for (std::size_t k = 0; k < 4; ++k) {
    const auto [a, b] = kSides[k];
    solid.face(face_loops(r, k + 1, side(outer, a, b, H), false), panels[k + 1].normal);
    solid.face(face_loops(r, k + 1, side(inner, a, b, H), true), -panels[k + 1].normal);
  }
  solid.face({box_loop(0, 0, L, W, H), box_loop(t, t, L - t, W - t, H)}, kAlongZ);
}

void add_flange(SolidBuilder& solid, const Recipe& r) {
  const Vector3d up = r.thickness_mm * kAlongZ, all_up = r.height_mm * kAlongZ;
  const auto ring = [&](double diameter_mm) {
    return circle(Vector3d::Zero(), kAlongZ, diameter_mm, 2 * kFacets);
  };
  std::vector<Loop> below = face_loops(r, 0, ring(r.length_mm), false);
  std::vector<Loop> above = face_loops(r, 0, shifted(ring(r.length_mm), up), true);
  below.push_back(ring(r.bore_mm));
  above.push_back(shifted(ring(r.hub_mm), up));
  solid.face(below, -kAlongZ);
  solid.face(above, kAlongZ);
  const Loop hub = shifted(ring(r.hub_mm), up);
  solid.face({shifted(hub, all_up - up), shifted(ring(r.bore_mm), all_up)}, kAlongZ);
  solid.wall(ring(r.length_mm), up);
  solid.wall(hub, all_up - up);
  solid.hole_wall(ring(r.bore_mm), all_up);
}

bool clear_of_holes(const Recipe& r, std::size_t panel, const Vector2d& at, double radius_mm) {
  const bool on_holes = std::any_of(r.holes.begin(), r.holes.end(), [&](const PartHole& hole) {
    return hole.panel == panel &&
           (hole.at_mm - at).norm() < radius_mm + 0.5 * hole.diameter_mm + 3.0;
  });
  if (on_holes) return false;
  return panel != 0 || std::none_of(r.feet.begin(), r.feet.end(), [&](const Foot& foot) {
           const double reach = std::max(0.5 * foot.diameter_mm, 0.5 * foot.length_mm);
           return (foot.at_mm - at).norm() < radius_mm + reach + 2.0;
         });
}

bool within_outline(const Recipe& r, const Panel& panel, std::size_t index, const Vector2d& at,
                    double radius_mm) {
  const double margin = radius_mm + 3.0;
  if (r.family == Family::Flange) {
    const double off = (at - Vector2d::Constant(0.5 * r.length_mm)).norm();
    return off + margin < 0.5 * r.length_mm && off - margin > 0.5 * r.hub_mm;
  }
  // Where other walls stand on it or it stands on them.
  const double foot = std::max(r.thickness_mm, r.floor_mm) + 2.0;
  const bool housing = r.family == Family::Housing, floor = housing && index == 0;
  const bool between = floor || (r.family == Family::Channel && index == 0);
  const Vector2d low(housing ? foot : 0.0, between || housing || panel.hinged ? foot : 0.0);
  const Vector2d high(panel.along_u_mm - low.x(), panel.along_v_mm - (between ? foot : 0.0));
  if ((at - low).minCoeff() < margin || (high - at).minCoeff() < margin) return false;
  const bool cut =
      (r.family == Family::Plate && index == 0) || (r.family == Family::Bracket && index == 1);
  const Vector2d corner = Vector2d(panel.along_u_mm, panel.along_v_mm) - at;
  return !cut || corner.x() + corner.y() > r.cut_mm + 1.5 * margin;
}

void add_holes(Recipe& r, std::size_t panel, int count, double least_mm, double most_mm, Rng& rng) {
  for (int i = 0; i < count; ++i) {
    const double diameter = rng.uniform(least_mm, most_mm);
    bool found = false;
    const Vector2d at = free_place(r, panel, 0.5 * diameter + 1.5, rng, found);
    if (found) r.holes.push_back({panel, at, diameter});
  }
}

void add_feet(Recipe& r, Rng& rng) {
  for (int i = 0; i < 5; ++i) {
    const bool rib = i == 4;
    Foot foot;
    foot.length_mm = rib ? rng.uniform(15, 25) : 0.0;
    foot.diameter_mm = rib ? 0.0 : rng.uniform(6.0, 8.0);
    foot.height_mm = rng.uniform(0.25, 0.6) * r.height_mm;
    bool found = false;
    foot.at_mm =
        free_place(r, 0, std::max(0.5 * foot.length_mm, 0.5 * foot.diameter_mm), rng, found);
    if (found) r.feet.push_back(foot);
  }
}

}  // namespace

Vector3d Panel::in_panel(const Vector3d& p_mm) const {
  const Vector3d from = p_mm - origin_mm;
  return {from.dot(u), from.dot(v), -from.dot(normal)};
}

Vector3d Panel::at(double a_mm, double b_mm) const {
  return origin_mm + a_mm * u + b_mm * v;
}

std::vector<Family> all_families() {
  return {Family::Plate, Family::Bracket, Family::Channel, Family::Housing, Family::Flange};
}

std::string family_name(Family family) {
  switch (family) {
    case Family::Plate: return "plate";
    case Family::Bracket: return "bracket";
    case Family::Channel: return "channel";
    case Family::Housing: return "housing";
    default: return "flange";
  }
}

Recipe random_recipe(Family family, Rng rng) {
  Recipe r;
  r.family = family;
  r.length_mm = rng.uniform(70, 130);
  r.width_mm = rng.uniform(0.5, 0.8) * r.length_mm;
  r.thickness_mm = rng.uniform(1.0, 4.0);
  r.height_mm = rng.uniform(35, 60);
  r.cut_mm = rng.uniform(8, 16);
  if (family == Family::Channel) {
    r.width_mm = rng.uniform(35, 60);
    r.height_mm = rng.uniform(22, 35);
    r.other_height_mm = rng.uniform(0.55, 0.8) * r.height_mm;
  }
  if (family == Family::Housing) {
    r.thickness_mm = rng.uniform(1.2, 3.0);
    r.floor_mm = rng.uniform(1.6, 3.2);
    r.height_mm = rng.uniform(25, 40);
    add_feet(r, rng);
  }
  if (family == Family::Flange) {
    r.length_mm = rng.uniform(80, 110);
    r.thickness_mm = rng.uniform(3.0, 6.0);
    r.height_mm = r.thickness_mm + rng.uniform(8, 16);
    r.hub_mm = rng.uniform(0.4, 0.5) * r.length_mm;
    r.bore_mm = 0.6 * r.hub_mm;
  }
  add_holes(r, 0, 3, 4.5, 11.0, rng);
  if (family == Family::Flange) add_holes(r, 0, 2, 6.0, 10.0, rng);
  if (panels_of(r).size() > 1) add_holes(r, 1, 2, 4.5, 12.0, rng);
  return r;
}

Mesh built(const Recipe& recipe) {
  SolidBuilder solid;
  switch (recipe.family) {
    case Family::Plate: add_plate(solid, recipe); break;
    case Family::Bracket: add_bracket(solid, recipe); break;
    case Family::Channel: add_channel(solid, recipe); break;
    case Family::Housing: add_housing(solid, recipe); break;
    case Family::Flange: add_flange(solid, recipe); break;
  }
  add_hole_walls(solid, recipe);
  return solid.build();
}

std::vector<Panel> panels_of(const Recipe& r) {
  const double L = r.length_mm, W = r.width_mm, H = r.height_mm, t = r.thickness_mm;
  const Vector3d zero = Vector3d::Zero();
  switch (r.family) {
    case Family::Plate: return {{{0, 0, t}, kAlongX, kAlongY, kAlongZ, L, W, t, false}};
    case Family::Bracket:
      return {{zero, kAlongY, kAlongX, -kAlongZ, W, L, t, true},
              {zero, kAlongY, kAlongZ, -kAlongX, W, H, t, true}};
    case Family::Channel:
      return {{zero, kAlongY, kAlongX, -kAlongZ, L, W, t, false},
              {zero, kAlongY, kAlongZ, -kAlongX, L, H, t, true},
              {{W, 0, 0}, kAlongY, kAlongZ, kAlongX, L, r.other_height_mm, t, true}};
    case Family::Housing:
      return {{zero, kAlongX, kAlongY, -kAlongZ, L, W, r.floor_mm, false},
              {zero, kAlongX, kAlongZ, -kAlongY, L, H, t, false},
              {{0, W, 0}, kAlongX, kAlongZ, kAlongY, L, H, t, false},
              {zero, kAlongY, kAlongZ, -kAlongX, W, H, t, false},
              {{L, 0, 0}, kAlongY, kAlongZ, kAlongX, W, H, t, false}};
    default: return {{{-0.5 * L, -0.5 * L, 0}, kAlongX, kAlongY, -kAlongZ, L, L, t, false}};
  }
}

std::vector<RoundWall> round_walls_of(const Recipe& r) {
  std::vector<RoundWall> out;
  const std::vector<Panel> panels = panels_of(r);
  for (const PartHole& hole : r.holes) {
    const Panel& panel = panels[hole.panel];
    out.push_back({panel.at(hole.at_mm.x(), hole.at_mm.y()), -panel.normal, 0.5 * hole.diameter_mm,
                   0.0, panel.thickness_mm});
  }
  for (const Foot& foot : r.feet) {
    if (foot.diameter_mm <= 0.0) continue;
    const Vector3d at(foot.at_mm.x(), foot.at_mm.y(), r.floor_mm);
    out.push_back({at, kAlongZ, 0.5 * foot.diameter_mm, 0.0, foot.height_mm});
    out.push_back(
        {at, kAlongZ, 0.5 * kBlindHole_mm, (1.0 - kBlindShare) * foot.height_mm, foot.height_mm});
  }
  if (r.family == Family::Flange) {
    const Vector3d zero = Vector3d::Zero();
    out.push_back({zero, kAlongZ, 0.5 * r.length_mm, 0.0, r.thickness_mm});
    out.push_back({zero, kAlongZ, 0.5 * r.hub_mm, r.thickness_mm, r.height_mm});
    out.push_back({zero, kAlongZ, 0.5 * r.bore_mm, 0.0, r.height_mm});
  }
  return out;
}

Vector2d free_place(const Recipe& recipe, std::size_t panel, double radius_mm, Rng& rng,
                    bool& found) {
  const Panel at = panels_of(recipe)[panel];
  for (int i = 0; i < 300; ++i) {
    const Vector2d place(rng.uniform(0.0, at.along_u_mm), rng.uniform(0.0, at.along_v_mm));
    found = within_outline(recipe, at, panel, place, radius_mm) &&
            clear_of_holes(recipe, panel, place, radius_mm);
    if (found) return place;
  }
  return Vector2d::Zero();
}

}  // namespace trammel::test
