#pragma once

/// Puts triangles in the order of a tree's leaves, half by half.

#include <array>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

namespace trammel {

/// The middle of a triangle's box, and which triangle.
struct TriangleMiddle {
  std::array<float, 3> at;  ///< finite
  std::int32_t triangle;
};

class TriangleHalver {
 public:
  explicit TriangleHalver(std::vector<TriangleMiddle> middles);

  /// Along the axis on which the middles of [begin, end) lie widest apart, none of [begin, middle)
  /// comes after one of [middle, end); equal ones go by triangle. Runs that do not overlap may be
  /// halved at the same time. O(end − begin).
  void halve(std::size_t begin, std::size_t middle, std::size_t end);

  [[nodiscard]] std::int32_t triangle(std::size_t at) const { return middles_[at].triangle; }

 private:
  /// Leaves the one that belongs at `middle`, and all that are about as far along the axis, in the
  /// range that is returned; before and after it only such as belong there.
  std::pair<std::size_t, std::size_t> gathered_about(std::size_t begin, std::size_t middle,
                                                     std::size_t end, std::size_t axis, float low,
                                                     float high);

  std::vector<TriangleMiddle> middles_, spare_;
};

}  // namespace trammel
