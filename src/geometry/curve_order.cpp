#include "trammel/geometry/curve_order.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr unsigned kUsualBits = 10;       // of a cell along each side: keys of 30 bits
constexpr double kUsualCells = 1024.0;    // 2¹⁰
constexpr double kMostCells = 2097152.0;  // 2²¹: keys of 63 bits
constexpr unsigned kDigit = 11;           // bits sorted by in one pass
constexpr std::size_t kDigits = 1U << kDigit;
constexpr std::uint64_t kNotFinite = ~std::uint64_t{0};

/// 0b…cba as 0b…c00b00a, for 21 digits.
std::uint64_t spread_by_three(std::uint64_t x) {
  x = (x | x << 32U) & 0x001f00000000ffffU;
  x = (x | x << 16U) & 0x001f0000ff0000ffU;
  x = (x | x << 8U) & 0x100f00f00f00f00fU;
  x = (x | x << 4U) & 0x10c30c30c30c30c3U;
  return (x | x << 2U) & 0x1249249249249249U;
}

struct Frame {
  Vector3d low = Vector3d::Constant(HUGE_VAL), high = Vector3d::Constant(-HUGE_VAL);
};

Frame frame_of(const Eigen::Matrix3Xd& points) {
  Frame frame;
  for (Index i = 0; i < points.cols(); ++i) {
    if (!points.col(i).allFinite()) continue;
    frame.low = frame.low.cwiseMin(points.col(i));
    frame.high = frame.high.cwiseMax(points.col(i));
  }
  return frame;
}

/// Cells of the points' box, as many along each side as the widest side holds.
struct Grid {
  Vector3d low;
  double cells_per_mm = 0.0;
  double cells = 1.0;  ///< along the widest side
};

Grid grid_of(const Eigen::Matrix3Xd& points, double cell_mm) {
  const Frame frame = frame_of(points);
  const double widest = points.cols() > 0 ? (frame.high - frame.low).maxCoeff() : 0.0;
  Grid grid{frame.low};
  if (!(widest > 0.0)) return grid;
  const double least_mm = widest / kMostCells;
  const double edge_mm = cell_mm > 0.0 ? std::max(cell_mm, least_mm) : widest / kUsualCells;
  grid.cells_per_mm = 1.0 / edge_mm;
  grid.cells = std::min(kMostCells, std::ceil(widest / edge_mm));
  return grid;
}

/// The cell's place on the curve; kNotFinite for a point that has none.
std::uint64_t key_at(const Vector3d& p, const Grid& grid) {
  if (!p.allFinite()) return kNotFinite;
  std::uint64_t key = 0;
  for (int k = 0; k < 3; ++k) {
    const double cell = std::clamp((p[k] - grid.low[k]) * grid.cells_per_mm, 0.0, grid.cells - 1.0);
    key |= spread_by_three(static_cast<std::uint64_t>(cell)) << static_cast<unsigned>(k);
  }
  return key;
}

struct Entry {
  std::uint32_t key, point;
};

/// One pass of a counting sort by the digit of the key that begins at bit `shift`.
void sort_by_digit(const std::vector<Entry>& from, std::vector<Entry>& to, unsigned shift) {
  std::array<std::size_t, kDigits> start{};
  for (const Entry& entry : from)
    ++start[entry.key >> shift & (kDigits - 1)];
  std::size_t next = 0;
  for (std::size_t& count : start) {
    const std::size_t here = count;
    count = next;
    next += here;
  }
  for (const Entry& entry : from)
    to[start[entry.key >> shift & (kDigits - 1)]++] = entry;
}

/// Points by the first `bits` bits of their keys, without the last `fine` ones.
std::vector<Entry> sorted_coarsely(const Eigen::Matrix3Xd& points, const Grid& grid, unsigned bits,
                                   unsigned fine) {
  const auto count = static_cast<std::size_t>(points.cols());
  std::vector<Entry> entries(count), other(count);
  for_each_index(count, [&](std::size_t i) {
    const std::uint64_t key = key_at(points.col(static_cast<Index>(i)), grid);
    entries[i] = {key == kNotFinite ? std::numeric_limits<std::uint32_t>::max()
                                    : static_cast<std::uint32_t>(key >> fine),
                  static_cast<std::uint32_t>(i)};
  });
  // One bit more than the cells need tells what is not finite from the last cell.
  for (unsigned shift = 0; shift < bits + 1; shift += kDigit) {
    sort_by_digit(entries, other, shift);
    entries.swap(other);
  }
  return entries;
}

/// Brings the points of one coarse cell into the order of their whole keys, and marks where each
/// fine cell begins.
void sort_finely(const Eigen::Matrix3Xd& points, const Grid& grid, std::uint32_t* order,
                 std::uint8_t* begins, std::size_t count) {
  std::vector<std::pair<std::uint64_t, std::uint32_t>> keyed(count);
  for (std::size_t i = 0; i < count; ++i)
    keyed[i] = {key_at(points.col(order[i]), grid), order[i]};
  std::sort(keyed.begin(), keyed.end());  // stable: the points' numbers ascend
  for (std::size_t i = 0; i < count; ++i) {
    order[i] = keyed[i].second;
    begins[i] = i == 0 || keyed[i].first != keyed[i - 1].first ? 1 : 0;
  }
}

CurveOrder ordered(const Eigen::Matrix3Xd& points, const Grid& grid) {
  const auto bits = static_cast<unsigned>(std::ceil(std::log2(grid.cells)));
  const unsigned coarse_bits = std::min(bits, kUsualBits);
  const unsigned fine = 3U * (bits - coarse_bits);
  CurveOrder out;
  std::vector<std::uint32_t> coarse;
  {
    const std::vector<Entry> entries = sorted_coarsely(points, grid, 3U * coarse_bits, fine);
    out.order.resize(entries.size());
    for (std::size_t i = 0; i < entries.size(); ++i) {
      out.order[i] = entries[i].point;
      if (i == 0 || entries[i].key != entries[i - 1].key)
        coarse.push_back(static_cast<std::uint32_t>(i));
    }
  }
  if (fine == 0) {
    out.cell_start = std::move(coarse);
    return out;
  }
  std::vector<std::uint8_t> begins(out.order.size());
  for_each_index(coarse.size(), [&](std::size_t c) {
    const std::size_t end = c + 1 < coarse.size() ? coarse[c + 1] : out.order.size();
    sort_finely(points, grid, &out.order[coarse[c]], &begins[coarse[c]], end - coarse[c]);
  });
  for (std::size_t i = 0; i < begins.size(); ++i)
    if (begins[i] != 0) out.cell_start.push_back(static_cast<std::uint32_t>(i));
  return out;
}

}  // namespace

CurveOrder curve_order(const Eigen::Matrix3Xd& points_mm, double cell_mm) {
  TRAMMEL_CHECK(points_mm.cols() < 0xffffffffL, "more points than 32 bits number");
  return ordered(points_mm, grid_of(points_mm, cell_mm));
}

}  // namespace trammel
