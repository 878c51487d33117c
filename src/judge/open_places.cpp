#include "open_places.hpp"

#include <algorithm>
#include <cstdint>

#include "trammel/base/numbers.hpp"
#include "trammel/judge/bare_walls.hpp"
#include "trammel/judge/cell_patches.hpp"
#include "trammel/judge/coverage.hpp"
#include "trammel/judge/rods.hpp"
#include "trammel/judge/slits.hpp"
#include "trammel/judge/standing.hpp"
#include "trammel/judge/strays.hpp"
#include "trammel/judge/surface_out_of_place.hpp"
#include "trammel/judge/unmade_features.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

PlacedScan placed_scan(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                       const Verdict& verdict) {
  return {points_mm,
          e.normals,
          e.deviations,
          verdict.uncertainty.noise_mm,
          e.tidy.spacing_mm,
          e.plan,
          verdict.uncertainty.expanded_mm,
          area_of_a_point(e.tree.cells(), e.readings)};
}

Reasons walls_unseen(const Evidence& e, const Verdict& verdict) {
  // Of one face: a few patches that count, and more than a scan's usual gaps on a large part.
  const double least =
      std::max(5.0 * e.plan.least_area_mm2, 0.01 * verdict.coverage.design_area_mm2);
  Reasons out;
  for (const UnseenWall& wall :
       unseen_walls(e.design, e.tree, e.readings, kThickestWall_mm, least)) {
    if (is_of_what_lacks(verdict.regions, wall.center_mm)) continue;
    out.push_back("A wall near " + place_words(wall.center_mm) + " (" + fixed(wall.area_mm2, 0) +
                  " mm² of one face) was seen from neither side: it could be missing");
    if (out.size() == 2) break;
  }
  return out;
}

Reasons walls_bare(const Evidence& e, const Eigen::Matrix3Xd& points_mm, const Verdict& verdict,
                   const InMaterial& material) {
  const BareDisc disc = bare_disc(e.plan.least_area_mm2, e.tidy.spacing_mm);
  Reasons out;
  for (const Eigen::Vector3d& place :
       bare_walls(e.design, e.tree, e.readings, e.deviations, points_mm, material, disc)) {
    if (is_of_what_lacks(verdict.regions, place)) continue;
    out.push_back("Nothing was scanned near " + place_words(place) +
                  ", on neither face, though nothing hides it: there may be a hole");
    if (out.size() == 2) break;
  }
  return out;
}

Reasons surface_out_of_place(const Evidence& e, const PlacedScan& scan, const InMaterial& material,
                             const Verdict& verdict, const Eigen::VectorXi& region_of_cell) {
  Reasons out;
  const auto tell = [&](const std::vector<PointPatch>& patches, const std::string& words) {
    std::size_t told = 0;
    for (const PointPatch& patch : patches) {
      if (is_of_what_lacks(verdict.regions, patch.center_mm)) continue;
      if (++told > 2) break;
      out.push_back("The scan shows a surface " + words + " (near " + place_words(patch.center_mm) +
                    ")");
    }
  };
  tell(surfaces_inside(scan, material, e.readings, region_of_cell, verdict.regions),
       "inside the material: something is cut away that the design does not cut away");
  tell(surfaces_in_gaps(scan, e.design, material.strays_per_mm3),
       "in a hole or gap of the design: it may be closed, or not go through");
  return out;
}

/// A hole or slot that was not made is not judged by its limits, for the plan names none; the part
/// passes no more for that.
Reasons closed_holes(const Verdict& verdict) {
  Reasons out;
  for (const OtherHole& hole : verdict.other_holes) {
    if (hole.state != HoleState::Closed) continue;
    out.push_back("The hole of " + fixed(hole.drawn_diameter_mm, 1) + " mm drawn at " +
                  place_words(hole.center_mm) + " is closed: " + hole.reason);
  }
  for (const SlotResult& slot : verdict.other_slots) {
    if (slot.state != HoleState::Closed) continue;
    out.push_back("The slot of " + fixed(slot.nominal_width_mm, 1) + " × " +
                  fixed(slot.nominal_length_mm, 1) + " mm drawn at " +
                  place_words(slot.nominal_mm) + " is closed: " + slot.reasons.front());
  }
  return out;
}

}  // namespace

Reasons things_on_part(const Evidence& e, const Eigen::Matrix3Xd& points_mm) {
  const auto place_of = [](const Eigen::Vector3d& place_mm, double height_mm) {
    return " near " + place_words(place_mm) + ", " + fixed(height_mm, 1) + " mm high or more";
  };
  Reasons out;
  for (const Grip& grip : e.grips) {
    out.push_back("Something that is not in the design holds a wall of the part from both sides" +
                  place_of(grip.center_mm, grip.height_mm) +
                  ": if it is a clamp, take it off and scan again; if it is not, both faces are "
                  "proud");
    if (out.size() == 2) break;
  }
  for (const StandingThing& thing :
       things_standing(e.design.mesh(), e.tree, e.readings, e.deviations, points_mm,
                       e.plan.band.over_mm, e.plan.least_area_mm2)) {
    if (is_of_a_grip(thing.center_mm, e.grips)) continue;
    if (out.size() == 3) break;
    out.push_back("Something that is not in the design stands on the part" +
                  place_of(thing.center_mm, thing.height_mm) + ", its foot about " +
                  fixed(thing.area_mm2, 0) +
                  " mm²: if it is a clamp, take it off and scan again; if it is not, it is proud");
  }
  return out;
}

InMaterial inside_material(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                           const Verdict& verdict) {
  const PlacedScan scan = placed_scan(e, points_mm, verdict);
  InMaterial out;
  out.inside = points_inside(scan, e.design);
  out.strays_per_mm3 = strays_per_mm3(scan, e.design, out.inside);
  return out;
}

Reasons open_places(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                    const InMaterial& material, const Verdict& verdict,
                    const Eigen::VectorXi& region_of_cell) {
  Reasons out = closed_holes(verdict);
  append(out, walls_unseen(e, verdict));
  append(out, walls_bare(e, points_mm, verdict, material));
  append(out, surface_out_of_place(e, placed_scan(e, points_mm, verdict), material, verdict,
                                   region_of_cell));
  return out;
}

Reasons hidden_by_strays(const Evidence& e, const InMaterial& material) {
  const auto count = std::count(material.inside.begin(), material.inside.end(), 1);
  const double point_mm2 = area_of_a_point(e.tree.cells(), e.readings);
  const double bare_mm = bare_disc(e.plan.least_area_mm2, e.tidy.spacing_mm).near_mm;
  if (!may_hide({material.strays_per_mm3, static_cast<std::size_t>(count), e.plan.least_area_mm2,
                 point_mm2},
                bare_mm, kFewestInside))
    return {};
  return {"Strays lie so thick about the part (" + fixed(1000.0 * material.strays_per_mm3, 0) +
          " in 1,000 mm³) and its own points so thin (" + fixed(1.0 / point_mm2, 1) +
          " a mm²) that a defect of " + shortest(e.plan.least_area_mm2) +
          " mm² could not be told from them: scan it more densely, or with fewer strays"};
}

Reasons slits_in_part(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                      const InMaterial& material, const Verdict& verdict) {
  const std::vector<std::uint8_t> unknown;  // guessed normals do not tell what looks across
  return why_slits(slits({placed_scan(e, points_mm, verdict), e.design, e.tree.cells(),
                          e.scan.has_normals() ? material.inside : unknown}));
}

Reasons rods_on_part(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                     const InMaterial& material, const Verdict& verdict) {
  return why_rods(rods({e.plan, e.design, e.deviations, points_mm, verdict.uncertainty.expanded_mm,
                        e.tidy.spacing_mm, area_of_a_point(e.tree.cells(), e.readings),
                        material.strays_per_mm3}));
}

}  // namespace trammel
