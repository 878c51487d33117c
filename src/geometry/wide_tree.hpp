#pragma once

/// A tree of boxes eight wide over triangles, in plain single-precision arrays, for wide vectors.
///
/// It finds candidates: every triangle that could be the closest once rounding is allowed for. Who
/// asks tells the closest among them apart in double precision, so that the answer is exact.
/// Coordinates are relative to `center`, so that a design far from the origin loses no digits.
/// No class here has code of its own: the search is compiled once more with wider vectors, and the
/// linker must find nothing of that to take for the rest of the program.

#include <cstdint>

namespace trammel::wide {

constexpr int kLanes = 8;
constexpr std::uint32_t kLeafBit = 0x80000000U;
constexpr std::uint32_t kNoChild = 0xffffffffU;

/// Eight boxes, rounded outwards. A child is a node, kLeafBit | a leaf, or kNoChild.
struct alignas(32) Node {
  float low[3][kLanes];
  float high[3][kLanes];
  std::uint32_t child[kLanes];
};

/// For each child the cone that the normals of its triangles lie in: no triangle of a child is met
/// whose cone leans too far from the way that is asked for. Half-angle 180° holds them all.
struct alignas(32) Cones {
  float axis[3][kLanes];               ///< unit
  float cosine[kLanes], sine[kLanes];  ///< of the half-angle
};

/// Up to eight triangles. `slack` is the height of a needle, whose inside is not told from its
/// sides, and 0 for the others; `longest` the longest side of all, `lean` how far rounding may
/// lean the normal of one that is no needle (rad).
struct alignas(32) Leaf {
  float corner[3][3][kLanes];  ///< corner, axis, lane
  float slack[kLanes];
  std::int32_t triangle[kLanes];  ///< −1 where there is none
  float longest;
  float lean;
};

/// What the search reads. Node 0 is the root.
struct Tree {
  const Node* nodes;
  const Cones* cones;  ///< one for each node
  const Leaf* leaves;
  float radius;  ///< no corner has a coordinate larger than this
};

/// What is asked: the triangles nearest to a point, within a reach, and (where `filtered`) with a
/// normal n of n · `normal` ≥ `least_cosine` |n|. Cones are looked at where `normal` is `unit`.
struct Question {
  float point[3];
  float reach;
  bool filtered;
  bool unit;
  float normal[3];
  float least_cosine;
};

/// A triangle that may be the closest. Its distance is no less than `least`.
struct Candidate {
  float least;
  std::int32_t triangle;
};

/// Writes all triangles that may be the closest one within the reach, in no particular order.
/// @return how many; −1 when there is no room for them in `room`
using Search = int (*)(const Tree& tree, const Question& question, Candidate* out, int room);

int search_plain(const Tree& tree, const Question& question, Candidate* out, int room);
int search_avx2(const Tree& tree, const Question& question, Candidate* out, int room);

/// The widest one that this machine can run.
Search best_search();

}  // namespace trammel::wide
