#include "trammel/judge/carried_faces.hpp"

#include <algorithm>
#include <cmath>

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// Of what a face was moved by, what its readings may be off that: no wall bends exactly as told.
constexpr double kLeftOfMove = 0.2;
/// As much of single cells, which noise moves as well.
constexpr double kLeftOfCell = 0.35;

/// How the wall's front moves along its normal, with u, v from −1 to 1 over its box.
struct Move {
  double level = 0.0, u = 0.0, v = 0.0, uv = 0.0, uu = 0.0, vv = 0.0;
};

Move move_of(const ExplainedFlaw& flaw) {
  const VectorXd& x = flaw.unknowns;
  Move out;
  out.level = x[0];
  if (x.size() < 3) return out;
  out.u = x[1];
  out.v = x[2];
  Index next = 3;
  if (flaw.shape.kind == FlawKind::Twist) out.uv = x[next];
  if (flaw.shape.bow_u) out.uu = x[next++];
  if (flaw.shape.bow_v) out.vv = x[next];
  return out;
}

/// The way that a place goes; beyond the wall's ends it goes on straight.
Vector3d way_of(const Move& move, const FlatFace& front, const Vector3d& place_mm) {
  const Vector3d from = place_mm - front.center_mm;
  const double u = from.dot(front.u) / front.half_u_mm, v = from.dot(front.v) / front.half_v_mm;
  const double on_u = std::clamp(u, -1.0, 1.0), on_v = std::clamp(v, -1.0, 1.0);
  const double along_u = move.u + move.uv * on_v + 2.0 * move.uu * on_u,
               along_v = move.v + move.uv * on_u + 2.0 * move.vv * on_v;
  const double at_end = move.level + move.u * on_u + move.v * on_v + move.uv * on_u * on_v +
                        move.uu * on_u * on_u + move.vv * on_v * on_v;
  const double along_normal = at_end + along_u * (u - on_u) + along_v * (v - on_v);
  const double height = from.dot(front.normal);
  return along_normal * front.normal - height * along_u / front.half_u_mm * front.u -
         height * along_v / front.half_v_mm * front.v;
}

/// Of the cells of one face that were read.
struct Sums {
  double read_mm2 = 0.0, square = 0.0, left = 0.0, matters = 0.0;
  bool reached = false;
  [[nodiscard]] bool is_carried() const {
    if (!reached || !(read_mm2 > 0.0)) return false;
    const double rms = std::sqrt(square / read_mm2), rms_left = std::sqrt(left / read_mm2),
                 matter = matters / read_mm2;
    return rms >= 0.5 * matter && rms_left <= std::max(matter, kLeftOfMove * rms);
  }
};

}  // namespace

CarriedFaces carried_by(const ExplainedFlaw& flaw, const std::vector<FlatFace>& faces,
                        const Eigen::VectorXi& face_of_cell, const SurfaceCells& cells,
                        const VectorXd& placed_mm, const VectorXd& matters_mm) {
  const Move move = move_of(flaw);
  const FlatFace& front = faces[static_cast<std::size_t>(flaw.shape.face)];
  const auto count = static_cast<std::size_t>(cells.size());
  CarriedFaces out{std::vector<std::uint8_t>(faces.size(), 0), VectorXd::Zero(cells.size())};
  std::vector<std::uint8_t> reached(count, 0), goes(count, 0);
  std::vector<int> open;
  for (Index c = 0; c < cells.size(); ++c) {
    const auto i = static_cast<std::size_t>(c);
    const Vector3d way = way_of(move, front, cells.center_mm.col(c));
    out.moved_mm[c] = way.dot(cells.normal.col(c));
    const double off = std::abs(placed_mm[c] - out.moved_mm[c]);
    const bool as_read =
        std::isnan(off) || off <= std::max(matters_mm[c], kLeftOfCell * way.norm());
    // At its foot a wall is held, and so is all that hangs together with it from there on.
    const bool moves =
        std::max(std::abs(way.dot(front.normal)), std::abs(out.moved_mm[c])) >= matters_mm[c];
    goes[i] = as_read && moves ? 1 : 0;
    if (face_of_cell[c] != flaw.shape.face && face_of_cell[c] != flaw.shape.back) continue;
    reached[i] = 1;
    open.push_back(static_cast<int>(c));
  }
  for (std::size_t next = 0; next < open.size(); ++next) {
    if (goes[static_cast<std::size_t>(open[next])] == 0) continue;
    for (const int other : cells.neighbours.col(open[next])) {
      if (other < 0 || reached[static_cast<std::size_t>(other)] != 0 ||
          goes[static_cast<std::size_t>(other)] == 0)
        continue;
      reached[static_cast<std::size_t>(other)] = 1;
      open.push_back(other);
    }
  }
  std::vector<Sums> sums(faces.size());
  for (Index c = 0; c < cells.size(); ++c) {
    if (face_of_cell[c] < 0 || !std::isfinite(placed_mm[c])) continue;
    Sums& sum = sums[static_cast<std::size_t>(face_of_cell[c])];
    const double area = cells.area_mm2[c], left = placed_mm[c] - out.moved_mm[c];
    sum.read_mm2 += area;
    sum.square += area * placed_mm[c] * placed_mm[c];
    sum.left += area * left * left;
    sum.matters += area * matters_mm[c];
    sum.reached = sum.reached || reached[static_cast<std::size_t>(c)] != 0;
  }
  for (std::size_t f = 0; f < faces.size(); ++f) {
    const auto face = static_cast<int>(f);
    out.face[f] =
        face != flaw.shape.face && face != flaw.shape.back && sums[f].is_carried() ? 1 : 0;
  }
  for (Index c = 0; c < cells.size(); ++c)
    if (face_of_cell[c] < 0 || out.face[static_cast<std::size_t>(face_of_cell[c])] == 0)
      out.moved_mm[c] = 0.0;
  return out;
}

}  // namespace trammel
