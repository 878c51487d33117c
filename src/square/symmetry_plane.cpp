#include "trammel/square/symmetry_plane.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "robust_rows.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMirrorPairs = 60'000;
constexpr std::size_t kMirrorTried = 1500;
constexpr Eigen::Index kScored = 500;
constexpr std::size_t kRefined = 12;
constexpr double kHoldsUp = 0.0523;  // sin 3°
constexpr double kLeastMirrored = 0.5;
constexpr double kRivalMirrored = 0.9;
constexpr double kElsewhereAngle = 0.996;  // 5°
constexpr double kElsewhereShift = 0.02;   // of the diagonal
constexpr double kImageFacing = 0.85;

struct Mirror {
  Eigen::Vector3d normal = Eigen::Vector3d::UnitX();
  double offset_mm = 0.0;
  double share = 0.0;

  [[nodiscard]] Eigen::Vector3d image(const Eigen::Vector3d& p) const {
    return p - 2.0 * (normal.dot(p) - offset_mm) * normal;
  }
  [[nodiscard]] Eigen::Vector3d turned(const Eigen::Vector3d& n) const {
    return n - 2.0 * normal.dot(n) * normal;
  }
};

/// Share of the first patches' images that lie on the surface within a distance.
/// A patch on the plane itself says nothing and does not count.
double mirrored_share(const Mirror& mirror, const Patches& patches, const PointIndex& index,
                      Eigen::Index step, double within_mm) {
  double mirrored = 0.0, counted = 0.0;
  for (Eigen::Index i = 0; i < patches.size(); i += step) {
    const Eigen::Vector3d p = patches.points_mm.col(i);
    if (std::abs(mirror.normal.dot(p) - mirror.offset_mm) < 0.01 * patches.diagonal_mm) continue;
    counted += 1.0;
    const Eigen::Vector3d image = mirror.image(p);
    const auto near = index.nearest(image, 1, 0.03 * patches.diagonal_mm);
    if (near.empty()) continue;
    const Eigen::Vector3d m = patches.normals.col(near.front().index);
    const bool on =
        std::abs(m.dot(image - patches.points_mm.col(near.front().index))) <= within_mm &&
        std::abs(m.dot(mirror.turned(patches.normals.col(i)))) >= kImageFacing;
    mirrored += on ? 1.0 : 0.0;
  }
  return counted > 0.0 ? mirrored / counted : 0.0;
}

/// Planes between two patches that could be each other's image.
std::vector<Mirror> guesses(const Patches& patches, const std::optional<Eigen::Vector3d>& up,
                            Rng& rng) {
  std::vector<Mirror> out;
  const auto count = static_cast<std::size_t>(patches.size());
  for (std::size_t i = 0; i < kMirrorPairs && out.size() < kMirrorTried; ++i) {
    const auto a = static_cast<Eigen::Index>(rng.index(count));
    const auto b = static_cast<Eigen::Index>(rng.index(count));
    const Eigen::Vector3d p = patches.points_mm.col(a), q = patches.points_mm.col(b);
    Eigen::Vector3d way = q - p;
    if (way.norm() < 0.1 * patches.diagonal_mm) continue;
    Mirror mirror;
    mirror.normal = way.normalized();
    if (up) {
      if (std::abs(mirror.normal.dot(*up)) > kHoldsUp) continue;
      mirror.normal = (mirror.normal - *up * up->dot(mirror.normal)).normalized();
    }
    mirror.offset_mm = mirror.normal.dot(0.5 * (p + q));
    if (std::abs(mirror.turned(patches.normals.col(a)).dot(patches.normals.col(b))) < 0.97)
      continue;
    out.push_back(mirror);
  }
  return out;
}

struct RefinedMirror {
  Mirror mirror;
  square::Solved last;
};

/// The images are laid on the surface: two turns of the normal (one where up is known to lie in
/// the plane) and the offset.
/// @param step  every so many patches count
RefinedMirror refined_mirror(const Mirror& mirror, const Patches& patches, const PointIndex& index,
                             const std::optional<Eigen::Vector3d>& up, Eigen::Index step) {
  RefinedMirror out{mirror, {}};
  double sigma_mm = 0.004 * patches.diagonal_mm;
  for (int round = 0; round < 20; ++round) {
    Mirror& m = out.mirror;
    const Eigen::Vector3d u =
        up ? Eigen::Vector3d(up->cross(m.normal).normalized()) : m.normal.unitOrthogonal();
    const Eigen::Vector3d v = m.normal.cross(u);
    const double reach_mm = std::max(4.7 * sigma_mm, 0.01 * patches.diagonal_mm);
    const Eigen::Vector3d middle = patches.points_mm.rowwise().mean();
    std::vector<square::Row> rows(static_cast<std::size_t>((patches.size() + step - 1) / step));
    std::vector<std::uint8_t> used(rows.size(), 0);
    for_each_index(
        rows.size(),
        [&](std::size_t slot) {
          const Eigen::Index i = static_cast<Eigen::Index>(slot) * step;
          const Eigen::Vector3d p = patches.points_mm.col(i), image = m.image(p);
          const auto near = index.nearest(image, 1, reach_mm + 0.02 * patches.diagonal_mm);
          if (near.empty()) return;
          const Eigen::Index at = near.front().index;
          const Eigen::Vector3d face = patches.normals.col(at);
          if (std::abs(face.dot(m.turned(patches.normals.col(i)))) < kImageFacing) return;
          const double height = m.normal.dot(p) - m.offset_mm;
          const double along = face.dot(m.normal);
          // image = p − 2 (n · p − d) n, n turned about the middle of the scan.
          const auto slope = [&](const Eigen::Vector3d& turn) {
            return -2.0 * (height * face.dot(turn) + along * turn.dot(p - middle));
          };
          rows[slot] = {{slope(u), up ? 0.0 : slope(v), 2.0 * along},
                        face.dot(image - patches.points_mm.col(at)),
                        p};
          used[slot] = 1;
        },
        256);
    std::vector<square::Row> counted;
    for (std::size_t i = 0; i < rows.size(); ++i)
      if (used[i] != 0) counted.push_back(rows[i]);
    if (up)  // the unknown that does not exist
      for (square::Row& row : counted)
        row.row[1] = 0.0;
    square::Solved solved = square::solve_rows(counted, sigma_mm, patches.diagonal_mm / 12.0);
    if (solved.weight < 10.0) break;
    if (up) solved.step[1] = 0.0;
    const Eigen::Vector3d turned =
        (m.normal + solved.step[0] * u + solved.step[1] * v).normalized();
    m.offset_mm = turned.dot(middle) + (m.offset_mm - m.normal.dot(middle)) + solved.step[2];
    m.normal = turned;
    out.last = solved;
    const double least = std::max(0.5 * patches.noise_mm, 1e-7 * patches.diagonal_mm);
    sigma_mm = std::max(least, 0.6 * sigma_mm);
  }
  return out;
}

bool is_other(const Mirror& a, const Mirror& b, const Patches& patches) {
  const double cosine = a.normal.dot(b.normal);
  if (std::abs(cosine) < kElsewhereAngle) return true;
  const Eigen::Vector3d middle = patches.points_mm.rowwise().mean();
  const auto height = [&](const Mirror& m) { return m.normal.dot(middle) - m.offset_mm; };
  const double sign = cosine < 0.0 ? -1.0 : 1.0;
  return std::abs(height(a) - sign * height(b)) > kElsewhereShift * patches.diagonal_mm;
}

/// The best, no two alike.
std::vector<Mirror> best_mirrors(std::vector<Mirror> mirrors, const Patches& patches,
                                 std::size_t most) {
  std::stable_sort(mirrors.begin(), mirrors.end(),
                   [](const Mirror& a, const Mirror& b) { return a.share > b.share; });
  std::vector<Mirror> kept;
  for (const Mirror& mirror : mirrors) {
    if (kept.size() >= most) break;
    if (std::all_of(kept.begin(), kept.end(),
                    [&](const Mirror& better) { return is_other(better, mirror, patches); }))
      kept.push_back(mirror);
  }
  return kept;
}

}  // namespace

FoundPlane symmetry_plane(const Patches& patches, const std::optional<Eigen::Vector3d>& up,
                          Rng rng) {
  FoundPlane plane;
  plane.from = "mirror images";
  plane.doubt = "the scan has no mirror images of its own";
  if (patches.size() < 100) return plane;
  const PointIndex index(patches.points_mm);
  std::vector<Mirror> mirrors = guesses(patches, up, rng);
  const Eigen::Index step = std::max<Eigen::Index>(1, patches.size() / kScored);
  for_each_index(
      mirrors.size(),
      [&](std::size_t i) {
        mirrors[i].share =
            mirrored_share(mirrors[i], patches, index, step, 0.01 * patches.diagonal_mm);
      },
      8);
  mirrors = best_mirrors(std::move(mirrors), patches, kRefined);
  if (mirrors.empty()) return plane;
  const double within_mm = std::max(5.0 * patches.noise_mm, 1e-3 * patches.diagonal_mm);
  const Eigen::Index fine = std::max<Eigen::Index>(1, patches.size() / 4000);
  for (Mirror& mirror : mirrors) {
    mirror = refined_mirror(mirror, patches, index, up, 2 * fine).mirror;
    mirror.share = mirrored_share(mirror, patches, index, fine, within_mm);
  }
  mirrors = best_mirrors(std::move(mirrors), patches, 2);
  const RefinedMirror best = refined_mirror(mirrors.front(), patches, index, up, 1);
  plane.normal = best.mirror.normal;
  plane.offset_mm = best.mirror.offset_mm;
  plane.share = mirrored_share(best.mirror, patches, index, 1, within_mm);
  plane.rival = mirrors.size() > 1 ? mirrors[1].share : 0.0;
  plane.rms_mm = best.last.rms_mm;
  plane.standard_error_rad =
      up ? std::sqrt(std::max(0.0, best.last.covariance(0, 0)))
         : std::sqrt(std::max(
               0.0, symmetric_eigen(best.last.covariance.topLeftCorner<2, 2>()).values[1]));
  plane.doubt.clear();
  if (plane.share < kLeastMirrored)
    plane.doubt = "only part of the surface has its mirror image on the other side";
  else if (plane.rival > kRivalMirrored * plane.share)
    plane.doubt = "another plane mirrors the scan about as well";
  plane.found = plane.doubt.empty();
  return plane;
}

}  // namespace trammel
