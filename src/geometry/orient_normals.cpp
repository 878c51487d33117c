#include "trammel/geometry/orient_normals.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <queue>
#include <tuple>
#include <vector>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr int kNobody = -1;

/// A way from an oriented point to one that is not; the cheapest first, then by number.
struct Way {
  double cost;
  int to, from;
  [[nodiscard]] bool operator<(const Way& other) const {  // std::priority_queue: greatest on top
    return std::tie(other.cost, other.to, other.from) < std::tie(cost, to, from);
  }
};

/// Neighbours of all points, K × #P, and the other way round: K nearest is not mutual, and a tree
/// over one direction alone would leave points out.
std::vector<std::vector<int>> neighbour_lists(const Eigen::Matrix3Xd& points,
                                              const PointIndex& index, int neighbours) {
  const auto count = static_cast<std::size_t>(points.cols());
  std::vector<std::vector<int>> lists(count);
  for_each_index(count, [&](std::size_t i) {
    for (const Neighbour& n : index.nearest(points.col(static_cast<Eigen::Index>(i)), neighbours))
      if (n.index != static_cast<int>(i)) lists[i].push_back(n.index);
  });
  std::vector<std::vector<int>> both = lists;
  for (std::size_t i = 0; i < count; ++i)
    for (const int other : lists[i])
      both[static_cast<std::size_t>(other)].push_back(static_cast<int>(i));
  return both;
}

/// Prim's tree from `seed`, turning normals on the way. @return the piece's points
std::vector<int> orient_piece(int seed, const std::vector<std::vector<int>>& lists,
                              Eigen::Matrix3Xd& normals, std::vector<std::uint8_t>& done) {
  std::vector<int> piece;
  std::priority_queue<Way> ways;
  ways.push({0.0, seed, kNobody});
  while (!ways.empty()) {
    const Way way = ways.top();
    ways.pop();
    const auto at = static_cast<std::size_t>(way.to);
    if (done[at] != 0) continue;
    done[at] = 1;
    piece.push_back(way.to);
    auto normal = normals.col(way.to);
    if (way.from != kNobody && normal.dot(normals.col(way.from)) < 0.0) normal = -normal;
    for (const int next : lists[at]) {
      if (done[static_cast<std::size_t>(next)] != 0) continue;
      ways.push({1.0 - std::abs(normal.dot(normals.col(next))), next, way.to});
    }
  }
  return piece;
}

void turn_outward(const std::vector<int>& piece, const Eigen::Matrix3Xd& points,
                  Eigen::Matrix3Xd& normals) {
  Eigen::Vector3d centroid = Eigen::Vector3d::Zero();
  for (const int i : piece)
    centroid += points.col(i) / static_cast<double>(piece.size());
  double flux = 0.0;
  for (const int i : piece)
    flux += normals.col(i).dot(points.col(i) - centroid);
  if (flux >= 0.0) return;
  for (const int i : piece)
    normals.col(i) = -normals.col(i);
}

}  // namespace

Eigen::Matrix3Xd oriented_normals(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                                  Eigen::Matrix3Xd normals, int neighbours) {
  const auto lists = neighbour_lists(points_mm, index, neighbours + 1);
  std::vector<std::uint8_t> done(lists.size(), 0);
  for (std::size_t i = 0; i < lists.size(); ++i) {
    if (done[i] != 0) continue;
    turn_outward(orient_piece(static_cast<int>(i), lists, normals, done), points_mm, normals);
  }
  return normals;
}

}  // namespace trammel
