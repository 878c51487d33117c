#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <numeric>
#include <random>
#include <vector>

namespace trammel::test {

/// The numbers 0 … count − 1, seeded, in no order.
[[nodiscard]] inline std::vector<Eigen::Index> shuffled_order(Eigen::Index count) {
  std::vector<Eigen::Index> order(static_cast<std::size_t>(count));
  std::iota(order.begin(), order.end(), Eigen::Index{0});
  std::shuffle(order.begin(), order.end(), std::mt19937(1));
  return order;
}

}  // namespace trammel::test
