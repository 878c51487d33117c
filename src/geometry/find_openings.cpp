#include "trammel/geometry/find_openings.hpp"

#include "trammel/base/parallel.hpp"
#include "wall_search.hpp"

namespace trammel {

FoundOpenings find_openings(const Mesh& design, const FindHoleSettings& hole_settings,
                            const FindSlotsSettings& slot_settings) {
  FoundOpenings out;
  if (design.triangles.cols() == 0) return out;
  const wall_search::WallSeeds seeds(design);
  run_together({[&] { out.holes = wall_search::holes_from(seeds, hole_settings); },
                [&] { out.slots = wall_search::slots_from(seeds, slot_settings); }});
  return out;
}

}  // namespace trammel
