#include "rim_edge.hpp"

#include <array>
#include <cmath>

namespace trammel {
namespace {

constexpr double kDeepest = -8.0;  // smears; farther in, a point can only be a stray
constexpr int kPerSmear = 256;
constexpr int kSteps = static_cast<int>(kEdgeReach - kDeepest) * kPerSmear;
using Table = std::array<double, kSteps + 1>;

Table made_table() {
  Table table{};
  for (int i = 0; i <= kSteps; ++i)
    table[static_cast<std::size_t>(i)] =
        std::log(part_of_face(kDeepest + static_cast<double>(i) / kPerSmear));
  return table;
}

}  // namespace

double part_of_face(double u) {
  return kStrayShare + (1.0 - kStrayShare) * 0.5 * std::erfc(-u * std::sqrt(0.5));
}

double log_part_of_face(double u) {
  static const Table table = made_table();
  if (u >= kEdgeReach) return 0.0;
  if (!(u > kDeepest)) return table.front();
  const double at = (u - kDeepest) * kPerSmear;
  const auto below = static_cast<std::size_t>(at);
  const double share = at - static_cast<double>(below);
  return table[below] + share * (table[below + 1] - table[below]);
}

}  // namespace trammel
