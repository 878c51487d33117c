#include "trammel/judge/moved_sheets.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kOpposite = -0.99985;  // one degree, as walls are in geometry/flat_faces.cpp
/// Of a face, the share behind which the other lies.
constexpr double kLeastBehind = 0.8;
/// Of what was read, squared: half as large.
constexpr double kHalf = 0.25;

double square_of(const std::vector<int>& which, const SurfaceCells& cells, const VectorXd& values) {
  double area = 0.0, squares = 0.0;
  for (const int c : which) {
    if (!std::isfinite(values[c])) continue;
    area += cells.area_mm2[c];
    squares += cells.area_mm2[c] * values[c] * values[c];
  }
  return area > 0.0 ? squares / area : 0.0;
}

class SheetParter {
 public:
  SheetParter(const SurfaceCells& cells, const VectorXd& deviation_mm, const VectorXd& matters_mm,
              double thickest_mm, std::vector<FlatFace>& faces, Eigen::VectorXi& face_of_cell)
      : cells_(cells),
        deviation_(deviation_mm),
        matters_(matters_mm),
        thickest_mm_(thickest_mm),
        faces_(faces),
        face_of_cell_(face_of_cell),
        of_face_(faces.size()) {
    for (Index c = 0; c < cells.size(); ++c)
      if (face_of_cell[c] >= 0) of(face_of_cell[c]).push_back(static_cast<int>(c));
  }

  void part() {
    std::vector<char> in_wall(faces_.size(), 0);
    for (const Wall& wall : find_walls(faces_, thickest_mm_))
      in_wall[static_cast<std::size_t>(wall.front)] = in_wall[static_cast<std::size_t>(wall.back)] =
          1;
    const auto drawn = static_cast<int>(faces_.size());
    for (int small = 0; small < drawn; ++small) {
      if (in_wall[static_cast<std::size_t>(small)] != 0 || !is_off(of(small))) continue;
      for (int large = 0; large < drawn; ++large)
        if (large != small && part_behind(small, large)) break;
    }
  }

 private:
  std::vector<int>& of(int face) { return of_face_[static_cast<std::size_t>(face)]; }
  [[nodiscard]] const FlatFace& drawn_face(int face) const {
    return faces_[static_cast<std::size_t>(face)];
  }

  [[nodiscard]] bool is_off(const std::vector<int>& which) const {
    if (which.empty()) return false;
    return std::sqrt(square_of(which, cells_, deviation_)) >= 0.5 * matters_[which.front()];
  }

  /// Thickness of the material between the planes of the two, or 0 where there is no sheet.
  [[nodiscard]] double thickness(const FlatFace& small, const FlatFace& large) const {
    if (small.normal.dot(large.normal) > kOpposite || large.area_mm2 < small.area_mm2) return 0.0;
    const double thick = (small.center_mm - large.center_mm).dot(small.normal);
    return thick > 0.0 && thick <= std::min(thickest_mm_, small.half_v_mm) ? thick : 0.0;
  }

  bool part_behind(int small, int large) {
    const FlatFace front = drawn_face(small);
    const double thick = thickness(front, drawn_face(large));
    if (!(thick > 0.0)) return false;
    const std::vector<int>& all = of(large);
    const Eigen::Matrix3Xd there = cells_.center_mm(Eigen::all, all),
                           here = cells_.center_mm(Eigen::all, of(small));
    const PointIndex index_there(there), index_here(here);
    double behind = 0.0, squares = 0.0, differ = 0.0, own = 0.0;
    for (const int c : of(small)) {
      const double area = cells_.area_mm2[c];
      own += area;
      const auto found = index_there.nearest(cells_.center_mm.col(c) - thick * front.normal, 1,
                                             cells_.longest_edge_mm);
      if (found.empty()) continue;
      behind += area;
      const double a = deviation_[c],
                   b = -deviation_[all[static_cast<std::size_t>(found[0].index)]];
      if (!std::isfinite(a) || !std::isfinite(b)) continue;
      squares += area * 0.5 * (a * a + b * b);
      differ += area * (a - b) * (a - b);
    }
    if (behind < kLeastBehind * own || !(squares > 0.0) || differ > kHalf * squares) return false;
    std::vector<int> moved, rest;
    for (const int c : all) {
      const bool is_behind =
          !index_here
               .nearest(cells_.center_mm.col(c) + thick * front.normal, 1, cells_.longest_edge_mm)
               .empty();
      (is_behind ? moved : rest).push_back(c);
    }
    if (square_of(rest, cells_, deviation_) > kHalf * square_of(moved, cells_, deviation_))
      return false;
    add_face(front, thick, moved);
    of(large) = std::move(rest);
    return true;
  }

  void add_face(const FlatFace& front, double thick, const std::vector<int>& which) {
    FlatFace back = front;
    back.normal = -front.normal;
    back.v = -front.v;
    back.center_mm -= thick * front.normal;
    for (const int c : which)
      face_of_cell_[c] = static_cast<int>(faces_.size());
    faces_.push_back(back);
    of_face_.push_back(which);
  }

  const SurfaceCells& cells_;
  const VectorXd& deviation_;
  const VectorXd& matters_;
  double thickest_mm_;
  std::vector<FlatFace>& faces_;
  Eigen::VectorXi& face_of_cell_;
  std::vector<std::vector<int>> of_face_;  ///< cells of each face
};

}  // namespace

void part_moved_sheets(const SurfaceCells& cells, const VectorXd& deviation_mm,
                       const VectorXd& matters_mm, double thickest_mm, std::vector<FlatFace>& faces,
                       Eigen::VectorXi& face_of_cell) {
  SheetParter(cells, deviation_mm, matters_mm, thickest_mm, faces, face_of_cell).part();
}

}  // namespace trammel
