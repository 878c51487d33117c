#include "trammel/compare/cell_readings.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Faces that turn more than 45° from each other are read apart.
constexpr double kSameFace = 0.7071;
/// A median over fewer readings could be a stray's.
constexpr std::size_t kFewest = 3;
/// A median of this many has under a third of the noise of one reading (1.25/√20); more costs time.
constexpr std::size_t kEnough = 20;
/// Cells of one plane whose centres lie nearer than this share of the radius, or of the scan's
/// spacing where that is more, have one reading: thin triangles of the design are cut into many
/// more cells than there are places to tell apart.
constexpr double kSamePlace = 0.25, kSamePoints = 0.5;
constexpr double kSamePlane = 0.9999;
/// Cells that one thread reads in a row, with one set of marks; readings are shared only within.
constexpr std::size_t kChunk = 16384;

/// Readings grouped by the cell that their foot is in.
struct Filed {
  std::vector<std::size_t> start;
  std::vector<double> values;
  std::vector<int> missing;  ///< #C, how many of a cell's readings lead through missing material
};

Eigen::VectorXi cells_of_points(const Mesh& design, const CellTree& tree,
                                const Deviations& deviations) {
  const auto count = deviations.reading.size();
  Eigen::VectorXi cell(static_cast<Index>(count));
  for_each_index(count, [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    const Reading reading = deviations.reading[i];
    const bool measured = reading == Reading::Measured || reading == Reading::Inside;
    cell[c] =
        measured ? tree.cell_at(design, deviations.triangle[c], deviations.foot_mm.col(c)) : -1;
  });
  return cell;
}

Filed file_by_cell(const Eigen::VectorXi& cell_of_point, const Deviations& deviations,
                   Index cell_count) {
  Filed out;
  out.missing.assign(static_cast<std::size_t>(cell_count), 0);
  out.start.assign(static_cast<std::size_t>(cell_count) + 1, 0);
  for (Index i = 0; i < cell_of_point.size(); ++i) {
    if (cell_of_point[i] >= 0) ++out.start[static_cast<std::size_t>(cell_of_point[i]) + 1];
  }
  for (std::size_t c = 1; c < out.start.size(); ++c)
    out.start[c] += out.start[c - 1];
  out.values.resize(out.start.back());
  std::vector<std::size_t> next(out.start.begin(), out.start.end() - 1);
  for (Index i = 0; i < cell_of_point.size(); ++i) {
    if (cell_of_point[i] < 0) continue;
    const auto cell = static_cast<std::size_t>(cell_of_point[i]);
    out.values[next[cell]++] = deviations.signed_mm[i];
    if (deviations.tells_missing(static_cast<std::size_t>(i))) ++out.missing[cell];
  }
  return out;
}

/// All that a walk over the surface asks of one cell, in one line of the cache.
struct alignas(64) Stop {
  std::array<double, 3> center, normal;
  std::array<int, 3> neighbours{};
};

std::vector<Stop> stops_of(const SurfaceCells& cells) {
  std::vector<Stop> stops(static_cast<std::size_t>(cells.size()));
  for_each_index(stops.size(), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    for (Index k = 0; k < 3; ++k) {
      const auto slot = static_cast<std::size_t>(k);
      stops[i].center[slot] = cells.center_mm(k, c);
      stops[i].normal[slot] = cells.normal(k, c);
      stops[i].neighbours[slot] = cells.neighbours(k, c);
    }
  });
  return stops;
}

/// What the present walk has made of each cell. A new walk begins without anything being wiped.
class WalkMarks {
 public:
  enum Kind : std::uint32_t { kIn, kTooFarForNear, kTooFar, kKinds };

  explicit WalkMarks(std::size_t cells) : mark_(cells, 0) {}
  void start_walk() { walk_ += kKinds; }
  void set(int cell, Kind kind) { mark_[static_cast<std::size_t>(cell)] = walk_ + kind; }
  /// In already, or refused already under the same limit.
  [[nodiscard]] bool settled(int cell, Kind refused) const {
    const std::uint32_t mark = mark_[static_cast<std::size_t>(cell)];
    return mark == walk_ + kIn || mark == walk_ + refused;
  }

 private:
  std::vector<std::uint32_t> mark_;
  std::uint32_t walk_ = 0;
};

/// Gathers the readings around one cell, ring by ring; one per chunk of cells, so that its marks
/// last.
class Gatherer {
 public:
  Gatherer(const std::vector<Stop>& stops, const Filed& filed)
      : stops_(stops), filed_(filed), marks_(stops.size()) {}

  /// Readings within `near_mm` of the cell, or, when those are too few, within `far_mm`.
  std::vector<double>& around(int cell, double near_mm, double far_mm) {
    values_.clear();
    missing_ = 0;
    visited_.assign(1, cell);
    marks_.start_walk();
    marks_.set(cell, WalkMarks::kIn);
    spread(cell, near_mm, WalkMarks::kTooFarForNear);
    if (values_.size() < kFewest && far_mm > near_mm) {
      values_.clear();
      missing_ = 0;
      spread(cell, far_mm, WalkMarks::kTooFar);
    }
    return values_;
  }

  /// Of the readings that the last walk gathered at least half lead through missing material.
  [[nodiscard]] bool are_missing() const {
    return missing_ > 0 && 2 * static_cast<std::size_t>(missing_) >= values_.size();
  }

  /// The cells that the last walk came by, itself among them.
  [[nodiscard]] const std::vector<int>& passed() const { return visited_; }

 private:
  [[nodiscard]] const Stop& stop(int cell) const { return stops_[static_cast<std::size_t>(cell)]; }

  /// Walks on from the cells visited so far to all within the radius.
  void spread(int cell, double radius_mm, WalkMarks::Kind refused) {
    const Stop& middle = stop(cell);
    for (std::size_t next = 0; next < visited_.size() && values_.size() < kEnough; ++next) {
      const int at = visited_[next];
      const auto from = static_cast<std::ptrdiff_t>(filed_.start[static_cast<std::size_t>(at)]);
      const auto to = static_cast<std::ptrdiff_t>(filed_.start[static_cast<std::size_t>(at) + 1]);
      values_.insert(values_.end(), filed_.values.begin() + from, filed_.values.begin() + to);
      missing_ += filed_.missing[static_cast<std::size_t>(at)];
      for (const int other : stop(at).neighbours) {
        if (other < 0 || marks_.settled(other, refused)) continue;
        const bool is_in = belongs(stop(other), middle, radius_mm);
        marks_.set(other, is_in ? WalkMarks::kIn : refused);
        if (is_in) visited_.push_back(other);
      }
    }
  }

  /// On the same face as the middle of the walk, and near enough to it.
  static bool belongs(const Stop& stop, const Stop& middle, double radius_mm) {
    double cosine = 0.0, apart2 = 0.0;
    for (std::size_t k = 0; k < 3; ++k) {
      cosine += stop.normal[k] * middle.normal[k];
      const double apart = stop.center[k] - middle.center[k];
      apart2 += apart * apart;
    }
    return cosine >= kSameFace && apart2 <= radius_mm * radius_mm;
  }

  const std::vector<Stop>& stops_;
  const Filed& filed_;
  WalkMarks marks_;
  std::vector<int> visited_;
  std::vector<double> values_;
  int missing_ = 0;  ///< of them
};

bool at_one_place(const SurfaceCells& cells, Index a, Index b, double apart_mm) {
  return cells.normal.col(a).dot(cells.normal.col(b)) > kSamePlane &&
         (cells.center_mm.col(a) - cells.center_mm.col(b)).squaredNorm() < apart_mm * apart_mm;
}

/// Reads cells begin … end − 1. What it writes depends on nothing outside of them.
void read_chunk(const SurfaceCells& cells, const std::vector<Stop>& stops, const Filed& filed,
                const CellSettings& settings, std::size_t begin, std::size_t end,
                CellReadings& out) {
  const double far_mm = std::max(settings.radius_mm, 2.5 * settings.spacing_mm);
  const double apart_mm =
      std::max(kSamePlace * settings.radius_mm, kSamePoints * settings.spacing_mm);
  Gatherer gatherer(stops, filed);
  std::vector<std::uint8_t> done(end - begin, 0);
  for (std::size_t i = begin; i < end; ++i) {
    if (done[i - begin] != 0) continue;
    std::vector<double>& values = gatherer.around(static_cast<int>(i), settings.radius_mm, far_mm);
    const double reading =
        values.empty() ? out.deviation_mm[static_cast<Index>(i)] : median_of(values);
    for (const int passed : gatherer.passed()) {
      const auto other = static_cast<std::size_t>(passed);
      if (other < i || other >= end || done[other - begin] != 0) continue;
      if (other != i && !at_one_place(cells, static_cast<Index>(i), passed, apart_mm)) continue;
      done[other - begin] = 1;
      out.deviation_mm[passed] = reading;
      out.support[passed] = static_cast<int>(values.size());
      out.seen[other] = values.empty() ? 0 : 1;
      out.missing[other] = gatherer.are_missing() ? 1 : 0;
    }
  }
}

}  // namespace

CellReadings read_cells(const Mesh& design, const CellTree& tree, const Deviations& deviations,
                        const CellSettings& settings) {
  const SurfaceCells& cells = tree.cells();
  const auto count = static_cast<std::size_t>(cells.size());
  CellReadings out;
  out.cell_of_point = cells_of_points(design, tree, deviations);
  const Filed filed = file_by_cell(out.cell_of_point, deviations, cells.size());
  out.deviation_mm.setConstant(cells.size(), std::numeric_limits<double>::quiet_NaN());
  out.support.setZero(cells.size());
  out.seen.assign(count, 0);
  out.missing.assign(count, 0);
  const std::vector<Stop> stops = stops_of(cells);
  for_each_chunk(count, kChunk, [&](std::size_t begin, std::size_t end) {
    read_chunk(cells, stops, filed, settings, begin, end, out);
  });
  return out;
}

double cell_edge_mm(double least_area_mm2, double design_diagonal_mm) {
  const double across_patch = 0.6 * std::sqrt(least_area_mm2);
  return std::clamp(across_patch, design_diagonal_mm / 2000.0, design_diagonal_mm / 40.0);
}

}  // namespace trammel
