#include "trammel/geometry/mend.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/geometry/repeated_triangles.hpp"
#include "trammel/geometry/slivers.hpp"
#include "trammel/geometry/weld.hpp"
#include "trammel/geometry/winding.hpp"

namespace trammel {
namespace {

/// Vertices on open edges nearer than this share of the box's diagonal are one: the rounding of
/// float32 coordinates far from the origin, never a feature of a part.
constexpr double kSamePlace = 1e-6;
/// A triangle lower than this share of the box's diagonal has no area: its normal is rounding.
constexpr double kNoHeight = 1e-7;

/// Returns the number of triangles dropped.
std::size_t keep_triangles(Mesh& mesh, const std::vector<bool>& keep) {
  Eigen::Index kept = 0;
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t) {
    if (!keep[static_cast<std::size_t>(t)]) continue;
    mesh.triangles.col(kept++) = Eigen::Vector3i(mesh.triangles.col(t));
  }
  mesh.triangles.conservativeResize(3, kept);
  return keep.size() - static_cast<std::size_t>(kept);
}

void replace_corners(Mesh& mesh, const std::vector<int>& by) {
  for (int* corner = mesh.triangles.data(); corner != mesh.triangles.data() + mesh.triangles.size();
       ++corner) {
    *corner = by[static_cast<std::size_t>(*corner)];
  }
}

/// Returns the number of triangles dropped.
std::size_t drop_with_equal_corners(Mesh& mesh) {
  std::vector<bool> keep(static_cast<std::size_t>(mesh.triangles.cols()));
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t) {
    const Eigen::Vector3i c = mesh.triangles.col(t);
    keep[static_cast<std::size_t>(t)] = c[0] != c[1] && c[1] != c[2] && c[2] != c[0];
  }
  return keep_triangles(mesh, keep);
}

std::vector<int> vertices_on_open_edges(const std::vector<EdgeUse>& uses) {
  std::vector<int> open;
  for_each_edge(uses, [&](const EdgeUse* first, const EdgeUse* last) {
    if (last - first == 1) open.insert(open.end(), {first->low, first->high});
  });
  std::sort(open.begin(), open.end());
  open.erase(std::unique(open.begin(), open.end()), open.end());
  return open;
}

/// Drops vertices of no triangle and numbers the others anew, in their order.
void drop_unused_vertices(Mesh& mesh) {
  std::vector<int> number(static_cast<std::size_t>(mesh.vertices_mm.cols()), -1);
  for (Eigen::Index i = 0; i < mesh.triangles.size(); ++i)
    number[static_cast<std::size_t>(mesh.triangles.data()[i])] = 0;
  int next = 0;
  for (std::size_t v = 0; v < number.size(); ++v) {
    if (number[v] < 0) continue;
    mesh.vertices_mm.col(next) =
        Eigen::Vector3d(mesh.vertices_mm.col(static_cast<Eigen::Index>(v)));
    number[v] = next++;
  }
  mesh.vertices_mm.conservativeResize(3, next);
  replace_corners(mesh, number);
}

/// The steps of mending, each on the mesh as the one before left it.
class Mender {
 public:
  explicit Mender(Mesh mesh) { result_.mesh = std::move(mesh); }

  MendedMesh run() {
    weld_equal();
    drop_unused_vertices(mesh());
    diagonal_mm_ = bounding_box(mesh().vertices_mm).diagonal_mm();
    drop_useless();
    weld_near();
    count();
    mend_windings();
    swing_flat();
    drop_unused_vertices(mesh());
    tell();
    return std::move(result_);
  }

 private:
  Mesh& mesh() { return result_.mesh; }
  MeshHealth& health() { return result_.health; }
  void weld_equal() { replace_corners(mesh(), first_at_same_place(mesh().vertices_mm)); }

  void drop_useless() {
    dropped_ += drop_with_equal_corners(mesh());
    health().repeated_triangles +=
        keep_triangles(mesh(), without_repeated(mesh().triangles, mesh().vertices_mm.cols()));
  }

  void weld_near() {
    uses_ = sorted_edge_uses(mesh().triangles, mesh().vertices_mm.cols());
    const std::vector<int> candidates = vertices_on_open_edges(uses_);
    if (candidates.empty()) return;
    const std::vector<int> by =
        nearest_within(mesh().vertices_mm, candidates, kSamePlace * diagonal_mm_);
    for (std::size_t v = 0; v < by.size(); ++v)
      joined_ += by[v] != static_cast<int>(v) ? 1U : 0U;
    if (joined_ == 0) return;
    replace_corners(mesh(), by);
    drop_useless();
    uses_ = sorted_edge_uses(mesh().triangles, mesh().vertices_mm.cols());
  }

  void count() {
    EdgeCounts edges;
    int shells = 0;
    const double flat_mm = kNoHeight * diagonal_mm_;
    run_together({[&] { edges = count_edges(uses_); },
                  [&] { shells = pieces_by_edges(uses_, mesh().triangles.cols()).count; },
                  [&] { flat_ = flat_triangles(mesh(), flat_mm).size(); }});
    health().shells = static_cast<std::size_t>(shells);
    health().open_edges = edges.open;
    health().non_manifold_edges = edges.non_manifold;
    health().mixed_winding_edges = edges.mixed_winding;
    health().closed = mesh().triangles.cols() > 0 && edges.open == 0 && edges.non_manifold == 0;
    health().inside_out = health().closed && signed_volume_mm3(mesh()) < 0.0;
    health().zero_area_triangles = dropped_ + flat_;
  }

  /// One closed shell, wound one way, outside out: then there is nothing to walk over it for.
  [[nodiscard]] bool is_wound_well() const {
    const MeshHealth& found = result_.health;
    return found.closed && found.shells == 1 && found.mixed_winding_edges == 0 && !found.inside_out;
  }

  void mend_windings() {
    if (is_wound_well()) return;
    WindingRepair repair = mend_winding(std::move(mesh()), std::move(uses_));
    mesh() = std::move(repair.mesh);
    health().mixed_winding_left = repair.left_mixed_edges;
    turned_ = repair.turned_to_match;
    pieces_out_ = repair.pieces_turned_out;
  }

  void swing_flat() {
    if (flat_ == 0) return;
    SwungMesh swung = swing_flat_triangles(std::move(mesh()), kNoHeight * diagonal_mm_);
    mesh() = std::move(swung.mesh);
    swung_ = swung.swung;
  }

  void tell() {
    std::vector<std::string>& repairs = health().repairs;
    const auto say = [&](std::size_t number, const std::string& one, const std::string& more) {
      if (number > 0) repairs.push_back(counted(number, one, more));
    };
    say(joined_, "vertex joined to one at nearly the same place",
        "vertices joined to others at nearly the same place");
    say(dropped_, "triangle without area dropped", "triangles without area dropped");
    say(health().repeated_triangles, "repeated triangle dropped", "repeated triangles dropped");
    say(swung_, "flat triangle swung into its neighbour",
        "flat triangles swung into their neighbours");
    if (turned_ > 0) {
      repairs.push_back("winding of " + counted(turned_, "triangle turned", "triangles turned"));
    }
    say(pieces_out_, "closed piece turned outside out", "closed pieces turned outside out");
  }

  MendedMesh result_;
  std::vector<EdgeUse> uses_;  ///< of the mesh once welded
  double diagonal_mm_ = 0.0;
  std::size_t joined_ = 0, dropped_ = 0, flat_ = 0, swung_ = 0, turned_ = 0, pieces_out_ = 0;
};

}  // namespace

MendedMesh mend(Mesh mesh) {
  TRAMMEL_CHECK(mesh.triangles.cols() < 700'000'000, "too many triangles to number their sides");
  TRAMMEL_CHECK(mesh.triangles.size() == 0 ||
                    (mesh.triangles.minCoeff() >= 0 &&
                     mesh.triangles.maxCoeff() < static_cast<int>(mesh.vertices_mm.cols())),
                "triangle corners must be vertices of the mesh");
  return Mender(std::move(mesh)).run();
}

}  // namespace trammel
