#pragma once

#include <cstddef>
#include <numeric>
#include <vector>

namespace trammel {

/// Members that are joined one by one into pieces, each knowing whether it looks the same way as
/// the others of its piece: disjoint sets with parity, paths halved on the way.
class SidedPieces {
 public:
  struct Root {
    std::size_t at;  ///< a member of the piece, the same for all of it until it is joined again
    bool opposite;   ///< the member that was asked for looks the other way
  };

  /// Each of `count` members a piece of its own.
  explicit SidedPieces(std::size_t count) : parent_(count), opposite_(count, false) {
    std::iota(parent_.begin(), parent_.end(), std::size_t{0});
  }

  [[nodiscard]] Root root(std::size_t member) {
    bool opposite = false;
    while (parent_[member] != member) {
      const std::size_t up = parent_[member];
      if (parent_[up] != up) {
        opposite_[member] = opposite_[member] != opposite_[up];
        parent_[member] = parent_[up];
      }
      opposite = opposite != opposite_[member];
      member = parent_[member];
    }
    return {member, opposite};
  }

  /// Nothing where both are of one piece already, whatever that says of their sides.
  void join(std::size_t a, std::size_t b, bool opposite) {
    const Root first = root(a), second = root(b);
    if (first.at == second.at) return;
    parent_[second.at] = first.at;
    opposite_[second.at] = opposite != (first.opposite != second.opposite);
  }

 private:
  std::vector<std::size_t> parent_;
  std::vector<bool> opposite_;  // than the parent
};

}  // namespace trammel
