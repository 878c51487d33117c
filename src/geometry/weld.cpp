#include "trammel/geometry/weld.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <numeric>
#include <utility>

#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/power_of_two.hpp"

namespace trammel {
namespace {

/// Mixes the bits of three doubles (the finaliser of SplitMix64, Steele et al. 2014, on each).
std::uint64_t hash_of(const Eigen::Vector3d& place) {
  std::uint64_t hash = 0;
  for (int axis = 0; axis < 3; ++axis) {
    std::uint64_t bits = 0;
    const double value = place[axis] + 0.0;  // −0 becomes 0
    std::memcpy(&bits, &value, sizeof bits);
    hash = (hash ^ bits) + 0x9E3779B97F4A7C15U;
    hash = (hash ^ (hash >> 30U)) * 0xBF58476D1CE4E5B9U;
    hash = (hash ^ (hash >> 27U)) * 0x94D049BB133111EBU;
    hash ^= hash >> 31U;
  }
  return hash;
}

/// Vertices with the same leading bits of their hash, in their order: no two of different shares
/// lie at the same place, and the table of one fits into the cache.
constexpr unsigned kShareBits = 8;
constexpr std::size_t kShares = std::size_t{1} << kShareBits;
struct Shares {
  std::vector<std::size_t> start;  ///< kShares + 1
  std::vector<int> vertices;
};

/// Chunks of vertices are counted, and then filed behind each other, side by side.
Shares shared_out(const std::vector<std::uint64_t>& hash) {
  constexpr std::size_t kChunk = std::size_t{1} << 16U;
  const auto share_of = [&](std::size_t i) { return hash[i] >> (64U - kShareBits); };
  std::vector<std::array<std::size_t, kShares>> next((hash.size() + kChunk - 1) / kChunk);
  for_each_chunk(hash.size(), kChunk, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i)
      ++next[begin / kChunk][share_of(i)];
  });
  Shares out;
  out.start.assign(kShares + 1, 0);
  for (std::size_t share = 0, filed = 0; share < kShares; ++share) {
    for (std::array<std::size_t, kShares>& of_chunk : next)
      filed += std::exchange(of_chunk[share], filed);
    out.start[share + 1] = filed;
  }
  out.vertices = large_vector<int>(hash.size());
  for_each_chunk(hash.size(), kChunk, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i)
      out.vertices[next[begin / kChunk][share_of(i)]++] = static_cast<int>(i);
  });
  return out;
}

/// For the vertices of one share.
void find_first(const Eigen::Matrix3Xd& vertices_mm, const std::vector<std::uint64_t>& hash,
                const int* begin, const int* end, std::vector<int>& first) {
  const std::size_t slots = power_of_two_from(2 * static_cast<std::size_t>(end - begin));
  std::vector<int> table(slots, -1);  // open addressing: each slot holds a vertex
  for (const int* vertex = begin; vertex != end; ++vertex) {
    const auto i = static_cast<std::size_t>(*vertex);
    std::size_t slot = hash[i] & (slots - 1);
    while (table[slot] >= 0 && vertices_mm.col(table[slot]) != vertices_mm.col(*vertex))
      slot = (slot + 1) & (slots - 1);
    if (table[slot] < 0) table[slot] = *vertex;
    first[i] = table[slot];
  }
}

}  // namespace

std::vector<int> first_at_same_place(const Eigen::Matrix3Xd& vertices_mm) {
  const auto count = static_cast<std::size_t>(vertices_mm.cols());
  auto hash = large_vector<std::uint64_t>(count);
  for_each_index(count, [&](std::size_t i) {
    hash[i] = hash_of(vertices_mm.col(static_cast<Eigen::Index>(i)));
  });
  const Shares shares = shared_out(hash);
  auto first = large_vector<int>(count);
  for_each_index(
      kShares,
      [&](std::size_t s) {
        const int* const begin = shares.vertices.data() + shares.start[s];
        find_first(vertices_mm, hash, begin, shares.vertices.data() + shares.start[s + 1], first);
      },
      1);
  return first;
}

std::vector<int> nearest_within(const Eigen::Matrix3Xd& vertices_mm,
                                const std::vector<int>& candidates, double tolerance_mm) {
  // Sweeps along a direction that no flat face of a part is likely to be square to: then only a few
  // candidates lie within the tolerance along it.
  const Eigen::Vector3d sweep = Eigen::Vector3d(0.5345, 0.6172, 0.5774).normalized();
  struct Place {
    double along;
    int vertex;
  };
  std::vector<Place> places;
  places.reserve(candidates.size());
  for (const int vertex : candidates)
    places.push_back({sweep.dot(vertices_mm.col(vertex)), vertex});
  std::sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
    return a.along != b.along ? a.along < b.along : a.vertex < b.vertex;
  });
  std::vector<int> joined(static_cast<std::size_t>(vertices_mm.cols()));
  std::iota(joined.begin(), joined.end(), 0);
  std::vector<bool> taken(places.size(), false);
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (taken[i]) continue;
    const Eigen::Vector3d center = vertices_mm.col(places[i].vertex);
    for (std::size_t j = i + 1;
         j < places.size() && places[j].along <= places[i].along + tolerance_mm; ++j) {
      if (taken[j] || (vertices_mm.col(places[j].vertex) - center).norm() > tolerance_mm) continue;
      taken[j] = true;
      joined[static_cast<std::size_t>(places[j].vertex)] = places[i].vertex;
    }
  }
  return joined;
}

}  // namespace trammel
