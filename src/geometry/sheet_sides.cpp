#include "trammel/geometry/sheet_sides.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/chosen_by_place.hpp"
#include "trammel/geometry/own_face.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/sided_pieces.hpp"

namespace trammel {
namespace {

constexpr Eigen::Index kMostPoints = 60'000;
constexpr Eigen::Index kFewestPoints = 200;
constexpr double kFewestTwoFaced = 0.1;
constexpr int kAskedForFaces = 60;
constexpr int kAskedForBorder = 12;
constexpr int kAskedForFace = 20;
constexpr std::ptrdiff_t kFewestAgreeing = 4;
constexpr std::size_t kLinks = 16;
constexpr double kParallel = 0.95;  // 18°
constexpr double kSmooth = 0.9;     // 26°
constexpr double kEdge = 0.8;       // 37°: from here on two planes meet at an edge
constexpr double kLevel = 0.25;     // of their distance: two points of one smooth face
constexpr double kSquarely = 1.5;   // of the gap: so far beside it the other face may be looked at
constexpr double kOffFace = 6.0;    // of the noise, which both faces carry
constexpr double kOnFace = 4.5;     // of it: two points, each about the plane of the other
constexpr double kSaysLittle = 0.2;
constexpr double kAgreed = 0.3;  // of a point's neighbours, more for than against
constexpr double kFewestWords = 8.0;
constexpr double kClearLead = 0.6;  // of the words about a piece, more for than against

std::size_t slot(Eigen::Index i) {
  return static_cast<std::size_t>(i);
}

/// To a point that lies on the same smooth face.
struct Link {
  int to;
  double cost;    ///< 0 for parallel planes
  bool opposite;  ///< its normal, as estimated, looks the other way
};

/// What lies about a point.
struct Round {
  int vote = 0;  ///< ±1 the sign that its normal needs to look away from the other face; or 0
  std::vector<Link> links;
};

class SheetTeller {
 public:
  explicit SheetTeller(const Eigen::Matrix3Xd& points)
      : points_(points), index_(points), faces_(points, index_), count_(slot(points.cols())) {}

  [[nodiscard]] bool is_two_faced() const;
  void tell();
  [[nodiscard]] double told_share() const;
  /// Of the told points nearby the normal with which most of them look, and lie on one plane with
  /// the place. On no such plane, as on a rim too narrow for one, it looks away from all of them.
  [[nodiscard]] Eigen::Vector3d normal_near(const Eigen::Vector3d& place) const;

 private:
  using Column = Eigen::Index;
  [[nodiscard]] bool has_plane(std::size_t i) const { return !normals_.col(Column(i)).isZero(); }
  [[nodiscard]] Eigen::Vector3d told_normal(std::size_t i) const {
    return side_[i] * normals_.col(Column(i));
  }
  [[nodiscard]] Eigen::Vector3d plane_normal(std::size_t i) const;
  [[nodiscard]] bool has_face_behind(std::size_t i) const;
  [[nodiscard]] Round look_round(std::size_t i) const;
  void hear_neighbours(const std::vector<Round>& rounds);
  [[nodiscard]] SidedPieces untold_pieces() const;
  [[nodiscard]] int word_of_told_beside(std::size_t i) const;
  [[nodiscard]] bool tell_pieces_beside_told();

  const Eigen::Matrix3Xd& points_;
  PointIndex index_;
  OwnFaces faces_;
  std::size_t count_;
  Eigen::Matrix3Xd normals_;  // of any sign; zero for no plane
  std::vector<int> side_;     // ±1 the sign that makes the normal look out, 0 not told
  std::vector<std::vector<Link>> links_;
};

Eigen::Vector3d SheetTeller::plane_normal(std::size_t i) const {
  const auto face = faces_.at(points_.col(Column(i)));
  return face ? Eigen::Vector3d(face->plane.spread.vectors.col(0)) : Eigen::Vector3d::Zero();
}

/// The nearest point off the plane, if it lies squarely behind or before it, is on a parallel one.
bool SheetTeller::has_face_behind(std::size_t i) const {
  const Eigen::Vector3d normal = plane_normal(i);
  for (const Neighbour& n : index_.nearest(points_.col(Column(i)), kAskedForFaces)) {
    const Eigen::Vector3d arm = points_.col(n.index) - points_.col(Column(i));
    const double off_mm = std::abs(normal.dot(arm));
    if (off_mm < kOffFace * faces_.noise_mm() || n.distance_mm > kSquarely * off_mm) continue;
    return std::abs(normal.dot(plane_normal(slot(n.index)))) > kParallel;
  }
  return false;
}

bool SheetTeller::is_two_faced() const {
  constexpr std::size_t kProbed = 300;
  const std::size_t probed = std::min(kProbed, count_);
  std::vector<std::uint8_t> found(probed, 0);
  for_each_index(
      probed, [&](std::size_t k) { found[k] = has_face_behind(k * count_ / probed) ? 1 : 0; }, 16);
  return double(std::count(found.begin(), found.end(), 1)) >= kFewestTwoFaced * double(probed);
}

Round SheetTeller::look_round(std::size_t i) const {
  Round out;
  const Eigen::Vector3d place = points_.col(Column(i)), normal = normals_.col(Column(i));
  bool is_below = false, is_above = false;
  for (const Neighbour& n : index_.nearest(place, kAskedForFaces)) {
    if (n.index == static_cast<int>(i) || !has_plane(slot(n.index))) continue;
    const Eigen::Vector3d other = normals_.col(n.index), arm = points_.col(n.index) - place;
    const double cosine = normal.dot(other);
    const double off_mm = height_on_mean_normal(arm, normal, other);
    if (std::abs(cosine) > kParallel && std::abs(off_mm) > kOffFace * faces_.noise_mm()) {
      const double beside_mm = std::sqrt(std::max(0.0, arm.squaredNorm() - off_mm * off_mm));
      if (beside_mm < kSquarely * std::abs(off_mm)) (off_mm < 0.0 ? is_below : is_above) = true;
      continue;
    }
    if (out.links.size() >= kLinks || std::abs(cosine) < kSmooth) continue;
    const double off_planes_mm = std::max(std::abs(normal.dot(arm)), std::abs(other.dot(arm)));
    if (off_planes_mm <= std::max(kOnFace * faces_.noise_mm(), kLevel * arm.norm()))
      out.links.push_back({n.index, 1.0 - std::abs(cosine), cosine < 0.0});
  }
  out.vote = int(is_below) - int(is_above);
  return out;
}

/// A point's side is what it and the points of its face say, and these have heard theirs before:
/// one vote that was misled by a stray or an edge is outvoted.
void SheetTeller::hear_neighbours(const std::vector<Round>& rounds) {
  std::vector<double> voices(count_);
  for (std::size_t i = 0; i < count_; ++i)
    voices[i] = rounds[i].vote;
  for (int time = 0; time < 2; ++time) {
    std::vector<double> heard(count_, 0.0);
    for_each_index(count_, [&](std::size_t i) {
      double sum = voices[i];
      for (const Link& link : links_[i])
        sum += (link.opposite ? -1.0 : 1.0) * voices[slot(link.to)];
      heard[i] = sum / (1.0 + double(links_[i].size()));
    });
    voices = std::move(heard);
  }
  for (std::size_t i = 0; i < count_; ++i)
    if (std::abs(voices[i]) > kAgreed) side_[i] = voices[i] > 0.0 ? 1 : -1;
}

/// Faces, or parts of them, of points that are not told, joined by the smoothest links first.
SidedPieces SheetTeller::untold_pieces() const {
  std::vector<std::pair<std::size_t, const Link*>> ways;
  for (std::size_t i = 0; i < count_; ++i)
    for (const Link& link : links_[i])
      if (side_[i] == 0 && side_[slot(link.to)] == 0) ways.emplace_back(i, &link);
  std::stable_sort(ways.begin(), ways.end(),
                   [](const auto& a, const auto& b) { return a.second->cost < b.second->cost; });
  SidedPieces pieces(count_);
  for (const auto& [from, link] : ways)
    pieces.join(from, slot(link->to), link->opposite);
  return pieces;
}

/// ±1 the sign that the nearest told point on the same face, or round an edge, gives a point.
int SheetTeller::word_of_told_beside(std::size_t i) const {
  const Eigen::Vector3d place = points_.col(Column(i)), normal = normals_.col(Column(i));
  for (const Neighbour& n : index_.nearest(place, kAskedForBorder)) {
    if (n.index == static_cast<int>(i) || side_[slot(n.index)] == 0) continue;
    const Eigen::Vector3d told = told_normal(slot(n.index));
    const double cosine = normal.dot(told);
    if (std::abs(cosine) > kEdge) {
      const auto is_it = [&](const Link& link) { return link.to == n.index; };
      if (std::none_of(links_[i].begin(), links_[i].end(), is_it)) continue;
      return cosine > 0.0 ? 1 : -1;
    }
    const Eigen::Vector3d way = (points_.col(n.index) - place).normalized();
    const double mirrored = normal.dot(told - 2.0 * way.dot(told) * way);
    return std::abs(mirrored) < kSaysLittle ? 0 : mirrored > 0.0 ? 1 : -1;
  }
  return 0;
}

/// @return whether any was
bool SheetTeller::tell_pieces_beside_told() {
  SidedPieces pieces = untold_pieces();
  std::vector<int> words(count_, 0);
  for_each_index(count_, [&](std::size_t i) {
    if (side_[i] == 0 && has_plane(i)) words[i] = word_of_told_beside(i);
  });
  std::vector<double> said(count_, 0.0), sum(count_, 0.0);  // of a piece, at its root
  for (std::size_t i = 0; i < count_; ++i) {
    if (words[i] == 0) continue;
    const SidedPieces::Root root = pieces.root(i);
    said[root.at] += 1.0;
    sum[root.at] += root.opposite ? -words[i] : words[i];
  }
  bool any = false;
  for (std::size_t i = 0; i < count_; ++i) {
    if (side_[i] != 0 || !has_plane(i)) continue;
    const SidedPieces::Root root = pieces.root(i);
    if (said[root.at] < kFewestWords || std::abs(sum[root.at]) < kClearLead * said[root.at])
      continue;
    side_[i] = (sum[root.at] > 0.0) != root.opposite ? 1 : -1;
    any = true;
  }
  return any;
}

void SheetTeller::tell() {
  normals_ = Eigen::Matrix3Xd::Zero(3, points_.cols());
  for_each_index(count_, [&](std::size_t i) { normals_.col(Column(i)) = plane_normal(i); });
  std::vector<Round> rounds(count_);
  for_each_index(count_, [&](std::size_t i) {
    if (has_plane(i)) rounds[i] = look_round(i);
  });
  for (Round& round : rounds)
    links_.push_back(std::move(round.links));
  side_.assign(count_, 0);
  hear_neighbours(rounds);
  // A floor is told by the walls about it, then a rib by the floor: a few rounds reach all.
  for (int time = 0; time < 6 && tell_pieces_beside_told(); ++time) {
  }
}

double SheetTeller::told_share() const {
  const auto untold = std::count(side_.begin(), side_.end(), 0);
  return 1.0 - double(untold) / double(count_);
}

Eigen::Vector3d SheetTeller::normal_near(const Eigen::Vector3d& place) const {
  struct Told {
    Eigen::Vector3d normal, arm;
  };
  std::vector<Told> told;
  Eigen::Vector3d inward = Eigen::Vector3d::Zero();
  for (const Neighbour& n : index_.nearest(place, kAskedForFace)) {
    const Eigen::Vector3d arm = points_.col(n.index) - place;
    inward += arm;
    if (side_[slot(n.index)] != 0) told.push_back({told_normal(slot(n.index)), arm});
  }
  Eigen::Vector3d out = inward.isZero() ? Eigen::Vector3d::UnitZ() : (-inward).normalized();
  std::ptrdiff_t most = kFewestAgreeing - 1;
  for (const Told& one : told) {
    const auto agrees = [&](const Told& other) {
      return one.normal.dot(other.normal) > kSmooth &&
             std::abs(one.normal.dot(other.arm)) <= kOnFace * faces_.noise_mm();
    };
    const auto agreeing = std::count_if(told.begin(), told.end(), agrees);
    if (agreeing <= most) continue;
    most = agreeing;
    out = one.normal;
  }
  return out;
}

}  // namespace

SheetSides sides_of_sheet(const Eigen::Matrix3Xd& points_mm) {
  SheetSides out;
  const Eigen::Matrix3Xd chosen =
      points_mm(Eigen::all, chosen_by_place(points_mm, kMostPoints)).eval();
  if (chosen.cols() < kFewestPoints) return out;
  SheetTeller teller(chosen);
  if (!teller.is_two_faced()) return out;
  teller.tell();
  out.told = teller.told_share();
  out.normals.resize(3, points_mm.cols());
  for_each_index(slot(points_mm.cols()), [&](std::size_t i) {
    const auto at = static_cast<Eigen::Index>(i);
    out.normals.col(at) = teller.normal_near(points_mm.col(at));
  });
  return out;
}

}  // namespace trammel
