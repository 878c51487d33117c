#include "bench/closest_peers.hpp"
#include "support/cgal_tree.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel::bench {

using test::CgalTree;

struct CgalPeer::Tree : CgalTree {
  using CgalTree::CgalTree;
};

CgalPeer::CgalPeer(const Mesh& mesh) : tree_(std::make_unique<Tree>(mesh)) {}

CgalPeer::~CgalPeer() = default;

Eigen::Matrix3Xd CgalPeer::feet(const Eigen::Matrix3Xd& points_mm) const {
  Eigen::Matrix3Xd feet(3, points_mm.cols());
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto q = static_cast<Eigen::Index>(i);
    const auto closest =
        tree_->tree.closest_point_and_primitive(CgalTree::point_of(points_mm.col(q)));
    feet.col(q) << closest.first.x(), closest.first.y(), closest.first.z();
  });
  return feet;
}

}  // namespace trammel::bench
