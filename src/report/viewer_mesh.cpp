#include "trammel/report/viewer_mesh.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include "place_grid.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/report/joined_cells.hpp"
#include "trammel/report/region_cells.hpp"

namespace trammel {
namespace {

constexpr double kCreaseCosine = 0.87;  ///< as in the pictures: 30°

double smallest_limit_mm(const Plan& plan) {
  double least = std::max(1e-6, std::min(plan.band.over_mm, plan.band.under_mm));
  for (const Zone& zone : plan.zones)
    least = std::max(1e-6, std::min({least, zone.band.over_mm, zone.band.under_mm}));
  return least;
}

/// Joined further and further until they are few enough, or colours would no longer be true.
std::vector<JoinedCell> few_cells(const Inspection& inspection, const Eigen::Matrix3Xd& corners_mm,
                                  std::size_t most) {
  const SurfaceMap& surface = inspection.surface;
  auto cells = single_cells(surface, corners_mm, band_indices(inspection));
  const Eigen::VectorXi shown = shown_regions(inspection);
  for (std::size_t c = 0; c < cells.size(); ++c)
    cells[c].region = shown[static_cast<Eigen::Index>(c)];
  const double coarsest = 0.25 * smallest_limit_mm(inspection.plan);
  double tolerance = std::max(1e-4, 0.125 * inspection.verdict.uncertainty.expanded_mm);
  while (cells.size() > most) {
    cells = joined_cells(surface.cells, std::move(cells), std::min(tolerance, coarsest));
    if (tolerance >= coarsest) break;
    tolerance *= 1.5;
  }
  return cells;
}

/// The place of every vertex of the surface.
std::vector<Place> placed(const SurfaceCells& surface, const PlaceGrid& grid) {
  std::vector<Place> places(static_cast<std::size_t>(surface.vertices_mm.cols()));
  for_each_index(places.size(), [&](std::size_t v) {
    places[v] = grid.place(surface.vertices_mm.col(static_cast<Eigen::Index>(v)));
  });
  return places;
}

void drop_without_area(const std::vector<Place>& places, std::vector<JoinedCell>& cells) {
  const auto place = [&](int vertex) { return places[static_cast<std::size_t>(vertex)]; };
  const auto is_flat = [&](const JoinedCell& cell) {
    const Place a = place(cell.corner[0]), b = place(cell.corner[1]), c = place(cell.corner[2]);
    return a == b || b == c || c == a;
  };
  cells.erase(std::remove_if(cells.begin(), cells.end(), is_flat), cells.end());
}

/// Numbers the places in the order in which they are met.
void number_places(const std::vector<JoinedCell>& cells, const std::vector<Place>& places,
                   bool shared, ViewerMesh& mesh) {
  std::vector<int> of_vertex(places.size(), -1);
  std::map<Place, int> of_place;
  mesh.corners.reserve(3 * cells.size());
  mesh.places.reserve(3 * places.size());
  for (const JoinedCell& cell : cells) {
    for (const int vertex : cell.corner) {
      const Place& place = places[static_cast<std::size_t>(vertex)];
      int& number = shared ? of_place.try_emplace(place, -1).first->second
                           : of_vertex[static_cast<std::size_t>(vertex)];
      if (number < 0) {
        number = static_cast<int>(mesh.places.size() / 3);
        mesh.places.insert(mesh.places.end(), place.begin(), place.end());
      }
      mesh.corners.push_back(static_cast<std::uint32_t>(number));
    }
  }
}

/// An edge at which the surface bends by 30° or more, or ends.
struct Crease {
  double cosine;  ///< of the bend; −2 where the surface ends
  int from, to;   ///< vertices
};

std::vector<Crease> creases_of(const SurfaceCells& cells) {
  std::vector<Crease> creases;
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    for (int k = 0; k < 3; ++k) {
      const int other = cells.neighbours(k, c);
      if (other >= 0 && other < c) continue;
      const double cosine = other < 0 ? -2.0 : cells.normal.col(c).dot(cells.normal.col(other));
      if (cosine < kCreaseCosine)
        creases.push_back({cosine, cells.cells(k, c), cells.cells((k + 1) % 3, c)});
    }
  }
  return creases;
}

void add_edges(const SurfaceCells& cells, const std::vector<Place>& places, std::size_t most,
               ViewerMesh& mesh) {
  std::vector<Crease> creases = creases_of(cells);
  if (creases.size() > most) {
    std::stable_sort(creases.begin(), creases.end(),
                     [](const Crease& a, const Crease& b) { return a.cosine < b.cosine; });
    creases.resize(most);
  }
  mesh.edges.reserve(6 * creases.size());
  for (const Crease& crease : creases) {
    for (const int vertex : {crease.from, crease.to}) {
      const Place& place = places[static_cast<std::size_t>(vertex)];
      mesh.edges.insert(mesh.edges.end(), place.begin(), place.end());
    }
  }
}

/// The largest size of any number that has to be written, and the widest spread of one cell.
std::pair<double, double> largest_and_widest(const std::vector<JoinedCell>& cells) {
  double largest = 1e-6, widest = 0.0;
  for (const JoinedCell& cell : cells) {
    if (!std::isfinite(cell.low_mm)) continue;
    widest = std::max(widest, cell.high_mm - cell.low_mm);
    largest = std::max({largest, std::abs(cell.low_mm), std::abs(cell.high_mm)});
    for (const double corner : cell.corner_deviation_mm)
      largest = std::max(largest, std::abs(corner));
  }
  return {largest, widest};
}

void add_readings(const std::vector<JoinedCell>& cells, ViewerMesh& mesh) {
  const auto [largest, widest] = largest_and_widest(cells);
  const double step = largest / kReadingUnits;
  mesh.readings.resize(cells.size());
  mesh.corner_readings.resize(3 * cells.size());
  mesh.regions.resize(cells.size());
  mesh.bands.resize(cells.size());
  for_each_index(cells.size(), [&](std::size_t c) {
    const JoinedCell& cell = cells[c];
    mesh.readings[c] = reading_units(cell.reading_mm(), step);
    for (std::size_t k = 0; k < 3; ++k)
      mesh.corner_readings[3 * c + k] = reading_units(cell.corner_deviation_mm[k], step);
    mesh.regions[c] = static_cast<std::uint16_t>(std::min(cell.region, 65535));
    mesh.bands[c] = static_cast<std::uint16_t>(std::min(cell.band, 65535));
  });
  mesh.reading_step_mm = step;
  mesh.reading_error_mm = 0.5 * (widest + step);
}

}  // namespace

ViewerMesh viewer_mesh(const Inspection& inspection, const Eigen::Matrix3Xd& corners_mm,
                       const ViewerMeshSettings& settings) {
  const SurfaceCells& surface = inspection.surface.cells;
  const Box box = bounding_box(surface.vertices_mm);
  auto cells = few_cells(inspection, corners_mm, settings.most_cells);
  double units = kFinestGrid;
  PlaceGrid grid(box, units);
  // On a coarse grid many share a place and cells without area fall away.
  auto places = placed(surface, grid);
  drop_without_area(places, cells);
  while (cells.size() > settings.most_cells && units > 64.0) {
    // A surface has about as many cells as its grid has squares: half as many a step of 0.7.
    units = units == kFinestGrid ? 1024.0 : 0.7 * units;
    grid = PlaceGrid(box, units);
    places = placed(surface, grid);
    drop_without_area(places, cells);
  }
  ViewerMesh mesh;
  mesh.cells_of_design = static_cast<std::size_t>(surface.size());
  mesh.origin_mm = box.low_mm;
  mesh.place_step_mm = grid.step_mm();
  mesh.place_error_mm = grid.error_mm();
  number_places(cells, places, units < kFinestGrid, mesh);
  add_edges(surface, places, settings.most_edges, mesh);
  add_readings(cells, mesh);
  return mesh;
}

}  // namespace trammel
