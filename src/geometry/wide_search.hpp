#pragma once

/// The search of wide_tree.hpp, once for all vector widths: included by the file of each.
///
/// Rounding: with u = 6e-8, coordinates up to R and a point at |p|, the difference of two of them
/// is off by no more than 2 u (R + |p|). A distance worked out from such differences is off by a
/// few of those, and for the plane of a triangle of height/longest ≥ 1/20 by 2 u · 20 of the arm
/// besides. `kFar` and `kNear` take twice that and more.

#include "eight_floats.hpp"
#include "wide_tree.hpp"

namespace trammel::wide {
namespace {

constexpr float kFar = 1e-6F;
constexpr float kNear = 1e-5F;
constexpr float kNever = 3e38F;
constexpr float kConeDoubt = 1e-3F;  ///< far more than rounding leans a cosine of unit vectors
/// Depth of a tree of 2³² triangles eight wide is 11; each level leaves seven behind.
constexpr int kMostWaiting = 128;

struct Waiting {
  float squared;
  std::uint32_t child;
};

/// What the search knows so far.
struct State {
  V8 point;
  float size;   ///< |p| + R
  float upper;  ///< the closest triangle is no farther than this
  float limit;  ///< square of what a box may be off to hold it
  int count = 0;
};

void set_upper(State& state, float upper) {
  state.upper = upper;
  const float reach = upper * 1.00001F + kFar * state.size;
  state.limit = reach < 1e19F ? reach * reach : kNever;
}

[[gnu::always_inline]] inline V8 corner_of(const Leaf& leaf, int k) {
  return {load(leaf.corner[k][0]), load(leaf.corner[k][1]), load(leaf.corner[k][2])};
}

/// Squared distance from the origin to the segments that run along `side` from `from`.
[[gnu::always_inline]] inline F8 squared_to_segment(V8 from, V8 side) {
  const F8 zero = all(0.0F);
  const F8 length2 = larger(dot(side, side), all(1e-30F));
  const F8 place = smaller(larger((zero - dot(from, side)) / length2, zero), all(1.0F));
  const V8 off = from - (zero - place) * side;
  return dot(off, off);
}

/// Distance of each triangle; of a needle, of its sides.
[[gnu::always_inline]] inline F8 distances(const Leaf& leaf, V8 point, F8 slack, V8& normal) {
  const V8 a = corner_of(leaf, 0) - point, b = corner_of(leaf, 1) - point,
           c = corner_of(leaf, 2) - point;
  const V8 ab = b - a, bc = c - b, ca = a - c;
  const F8 zero = all(0.0F);
  normal = cross(ca, ab);
  const F8 sides = smaller(squared_to_segment(a, ab),
                           smaller(squared_to_segment(b, bc), squared_to_segment(c, ca)));
  // The foot is inside where it lies left of every side.
  const F8 left_ab = dot(cross(ab, normal), a), left_bc = dot(cross(bc, normal), b),
           left_ca = dot(cross(ca, normal), c);
  const F8 inside = both(both(at_most(zero, left_ab), at_most(zero, left_bc)),
                         both(at_most(zero, left_ca), at_most(slack, zero)));
  const F8 rise = dot(normal, a) / root(larger(dot(normal, normal), all(1e-37F)));
  const F8 plane = rise * rise;
  return root(choose(inside, smaller(plane, sides), sides));
}

/// Lanes that pass the filter for sure, and those that may.
struct Passing {
  unsigned sure, maybe;
};

[[gnu::always_inline]] inline Passing passing(const Question& q, V8 normal, F8 slack, float lean) {
  const V8 asked = {all(q.normal[0]), all(q.normal[1]), all(q.normal[2])};
  const F8 along = dot(normal, asked), length = root(dot(normal, normal));
  const F8 needed = all(q.least_cosine) * length, doubt = all(lean) * length;
  const unsigned plain = bits(at_most(slack, all(0.0F)));
  const unsigned sure = bits(at_most(needed + doubt, along)) & plain;
  return {sure, bits(at_most(needed - doubt, along)) | ~plain};
}

/// Takes the triangles of a leaf in; false when there is no room.
[[gnu::always_inline]] inline bool take_leaf(const Leaf& leaf, const Question& q, State& state,
                                             Candidate* out, int room) {
  const F8 slack = load(leaf.slack);
  V8 normal;
  const F8 distance = distances(leaf, state.point, slack, normal);
  const F8 doubt = all(kFar * state.size + kNear * leaf.longest) + all(kNear) * distance;
  const F8 least = larger(distance - doubt - slack, all(0.0F));
  const unsigned filled = not_negative(leaf.triangle);
  Passing pass = {filled, filled};
  if (q.filtered) {
    pass = passing(q, normal, slack, leaf.lean);
    pass.sure &= filled;
    pass.maybe &= filled;
  }
  const float upper = smallest(choose(pass.sure, distance + doubt, all(kNever)));
  if (upper < state.upper) set_upper(state, upper);
  unsigned left = bits(at_most(least, all(state.upper))) & pass.maybe;
  if (left == 0) return true;
  alignas(32) float least_of[kLanes];
  store(least_of, least);
  for (; left != 0; left &= left - 1U) {
    const int k = __builtin_ctz(left);
    if (state.count == room) return false;
    out[state.count++] = {least_of[k], leaf.triangle[k]};
  }
  return true;
}

/// Drops what has proved too far since it was found.
void drop_far(State& state, Candidate* out) {
  int kept = 0;
  for (int i = 0; i < state.count; ++i)
    if (out[i].least <= state.upper) out[kept++] = out[i];
  state.count = kept;
}

[[gnu::always_inline]] inline F8 squared_to_boxes(const Node& node, V8 point) {
  const F8 zero = all(0.0F);
  const F8 x = larger(larger(load(node.low[0]) - point.x, point.x - load(node.high[0])), zero);
  const F8 y = larger(larger(load(node.low[1]) - point.y, point.y - load(node.high[1])), zero);
  const F8 z = larger(larger(load(node.low[2]) - point.z, point.z - load(node.high[2])), zero);
  return x * x + y * y + z * z;
}

/// Children that may hold a triangle which looks the way asked for: the largest n · normal in a
/// cone is the cosine of what its half-angle leaves of the angle to its axis.
[[gnu::always_inline]] inline unsigned looking(const Cones& cones, const Question& q) {
  const V8 axis = {load(cones.axis[0]), load(cones.axis[1]), load(cones.axis[2])};
  const V8 asked = {all(q.normal[0]), all(q.normal[1]), all(q.normal[2])};
  const F8 one = all(1.0F), cosine = load(cones.cosine);
  const F8 along = smaller(larger(dot(axis, asked), all(-1.0F)), one);
  const F8 aside = root(larger(one - along * along, all(0.0F)));
  const F8 most = choose(at_most(cosine, along), one, along * cosine + aside * load(cones.sine));
  return bits(at_most(all(q.least_cosine - kConeDoubt), most));
}

/// Puts the children that may hold the closest on the stack, nearest on top.
[[gnu::always_inline]] inline int push_children(const Tree& tree, std::uint32_t at_node,
                                                const Question& q, const State& state,
                                                Waiting* stack, int depth) {
  const Node& node = tree.nodes[at_node];
  const F8 squared = squared_to_boxes(node, state.point);
  unsigned left = bits(at_most(squared, all(state.limit)));
  if (left != 0 && q.filtered && q.unit) left &= looking(tree.cones[at_node], q);
  if (left == 0) return depth;
  alignas(32) float values[kLanes];
  store(values, squared);
  const int bottom = depth;
  for (; left != 0; left &= left - 1U) {
    const int k = __builtin_ctz(left);
    if (node.child[k] == kNoChild) continue;
    int at = depth++;
    for (; at > bottom && stack[at - 1].squared < values[k]; --at)
      stack[at] = stack[at - 1];
    stack[at] = {values[k], node.child[k]};
  }
  return depth;
}

float magnitude(float x) {
  return x < 0.0F ? -x : x;
}

int search(const Tree& tree, const Question& q, Candidate* out, int room) {
  State state;
  state.point = {all(q.point[0]), all(q.point[1]), all(q.point[2])};
  state.size = tree.radius + magnitude(q.point[0]) + magnitude(q.point[1]) + magnitude(q.point[2]);
  set_upper(state, q.reach);
  Waiting stack[kMostWaiting];
  int depth = push_children(tree, 0, q, state, stack, 0);
  while (depth > 0) {
    const Waiting next = stack[--depth];
    if (next.squared > state.limit) continue;
    if ((next.child & kLeafBit) == 0) {
      depth = push_children(tree, next.child, q, state, stack, depth);
    } else if (!take_leaf(tree.leaves[next.child & ~kLeafBit], q, state, out, room)) {
      return -1;
    }
  }
  drop_far(state, out);
  return state.count;
}

}  // namespace
}  // namespace trammel::wide
