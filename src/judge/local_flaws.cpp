#include "trammel/judge/local_flaws.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

namespace trammel {
namespace {

using Eigen::Index;

/// A peak that is worth telling, in multiples of what a cell of the patch must exceed.
constexpr double kPeak = 2.0;

class PatchFinder {
 public:
  PatchFinder(const SurfaceCells& cells, const Eigen::VectorXd& rest_mm,
              const Eigen::VectorXd& beyond_mm, const Eigen::VectorXi& face_of_cell)
      : cells_(cells), rest_(rest_mm), beyond_(beyond_mm), face_(face_of_cell) {}

  [[nodiscard]] bool stands_out(int c) const {
    return face_[c] >= 0 && std::abs(rest_[c]) > beyond_[c];  // false for NaN
  }

  /// Cells of one face, one sign, joined by edges.
  [[nodiscard]] std::vector<int> grown(int seed, std::vector<std::uint8_t>& taken) const {
    std::vector<int> patch{seed};
    taken[static_cast<std::size_t>(seed)] = 1;
    for (std::size_t next = 0; next < patch.size(); ++next) {
      for (int k = 0; k < 3; ++k) {
        const int other = cells_.neighbours(k, patch[next]);
        if (other < 0 || taken[static_cast<std::size_t>(other)] != 0 || !stands_out(other) ||
            face_[other] != face_[seed] || (rest_[other] > 0.0) != (rest_[seed] > 0.0)) {
          continue;
        }
        taken[static_cast<std::size_t>(other)] = 1;
        patch.push_back(other);
      }
    }
    std::sort(patch.begin(), patch.end());
    return patch;
  }

  [[nodiscard]] LocalFlaw described(std::vector<int> patch) const {
    LocalFlaw out;
    int worst = patch.front();
    for (const int c : patch) {
      out.area_mm2 += cells_.area_mm2[c];
      if (std::abs(rest_[c]) > std::abs(rest_[worst])) worst = c;
    }
    out.flaw.kind = rest_[worst] > 0.0 ? FlawKind::Blob : FlawKind::Dent;
    out.flaw.figure_mm = rest_[worst];
    out.flaw.center_mm = cells_.center_mm.col(worst);
    out.flaw.normal = cells_.normal.col(worst);
    out.cells = std::move(patch);
    return out;
  }

  [[nodiscard]] bool peaks(const LocalFlaw& found) const {
    return std::any_of(found.cells.begin(), found.cells.end(),
                       [&](int c) { return std::abs(rest_[c]) > kPeak * beyond_[c]; });
  }

  [[nodiscard]] double volume(const LocalFlaw& found) const {
    double sum = 0.0;
    for (const int c : found.cells)
      sum += cells_.area_mm2[c] * std::abs(rest_[c]);
    return sum;
  }

 private:
  const SurfaceCells& cells_;
  const Eigen::VectorXd& rest_;
  const Eigen::VectorXd& beyond_;
  const Eigen::VectorXi& face_;
};

}  // namespace

std::vector<LocalFlaw> local_flaws(const SurfaceCells& cells, const Eigen::VectorXd& rest_mm,
                                   const Eigen::VectorXd& beyond_mm,
                                   const Eigen::VectorXi& face_of_cell,
                                   const std::vector<FlatFace>& faces,
                                   const LocalFlawSettings& settings) {
  const PatchFinder finder(cells, rest_mm, beyond_mm, face_of_cell);
  std::vector<std::uint8_t> taken(static_cast<std::size_t>(cells.size()), 0);
  std::vector<LocalFlaw> found;
  for (int c = 0; c < static_cast<int>(cells.size()); ++c) {
    if (taken[static_cast<std::size_t>(c)] != 0 || !finder.stands_out(c)) continue;
    LocalFlaw one = finder.described(finder.grown(c, taken));
    const double face_area = faces[static_cast<std::size_t>(face_of_cell[c])].area_mm2;
    const bool is_local = one.area_mm2 >= settings.least_area_mm2 &&
                          one.area_mm2 <= settings.most_face_share * face_area;
    if (is_local && finder.peaks(one)) found.push_back(std::move(one));
  }
  std::stable_sort(found.begin(), found.end(), [&](const LocalFlaw& a, const LocalFlaw& b) {
    return finder.volume(a) > finder.volume(b);
  });
  if (found.size() > settings.most) found.resize(settings.most);
  return found;
}

}  // namespace trammel
