#include "trammel/report/view_choice.hpp"

#include <algorithm>
#include <limits>

#include "trammel/base/parallel.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/region_cells.hpp"

namespace trammel {
namespace {

constexpr Eigen::Index kSamples = 1200;  ///< cells that stand for the whole surface
constexpr double kGoodCosine = 0.5;      ///< a face seen within 60° is seen well enough
constexpr double kGrazingCosine = 0.15;  ///< flatter than that shows nothing
constexpr double kLeastGain = 0.01;      ///< of the surface, for a view beyond the fourth
/// Views that add as much to within this are alike, and the first in the list is taken: not which
/// of two sides of a part that is the same on both looks larger in the last digit, nor which cells
/// happen to stand for the surface (a share of 1200 is known to 0.014 at worst, k = 1).
constexpr double kSameGain = 0.01;
constexpr double kRegionSteps = 64;  ///< cells of a region that are tried as anchors
constexpr double kHoleShare = 0.5;   ///< of its edge must be seen

/// How well a face is seen: 0 hidden or grazing, 1 well.
double quality(const Eigen::Vector3d& point, const Eigen::Vector3d& normal, const View& view,
               const SurfaceRays& rays) {
  const double cosine = normal.dot(view.towards);
  if (cosine < kGrazingCosine || !rays.is_clear(point, normal, view.towards)) return 0.0;
  return std::min(1.0, cosine / kGoodCosine);
}

/// What there is to be seen, and how well each view shows it. Rows are views.
struct Worth {
  Eigen::MatrixXd finding;  ///< views × findings
  Eigen::MatrixXd surface;  ///< views × sampled cells
  Eigen::VectorXd finding_weight, surface_weight;
};

/// Every n-th cell, weighted by its area.
std::vector<Eigen::Index> sampled_cells(const SurfaceCells& cells) {
  const Eigen::Index stride = std::max<Eigen::Index>(1, cells.size() / kSamples);
  std::vector<Eigen::Index> sample;
  for (Eigen::Index c = stride / 2; c < cells.size(); c += stride)
    sample.push_back(c);
  return sample;
}

double opening_quality(const Opening& opening, const View& view, const SurfaceRays& rays) {
  const double cosine = std::abs(opening.drawn[0].axis.dot(view.towards));
  if (cosine < kGrazingCosine || visible_share(opening, view, rays) < kHoleShare) return 0.0;
  return std::min(1.0, cosine / kGoodCosine);
}

/// The worst three weigh most; every region, hole and slot weighs more than all of the bare
/// surface.
Worth empty_worth(const Inspection& inspection, std::size_t views,
                  const std::vector<Eigen::Index>& sample) {
  const Verdict& verdict = inspection.verdict;
  const auto regions = static_cast<Eigen::Index>(verdict.regions.size());
  const auto openings = static_cast<Eigen::Index>(verdict.holes.size() + verdict.slots.size());
  Worth worth;
  worth.finding_weight = Eigen::VectorXd::Constant(regions + openings, 2.0);
  double extra = 12.0;
  for (const Finding& finding : findings(inspection)) {
    if (!has_place(finding)) continue;
    const auto at = finding.subject == Subject::Region
                        ? static_cast<Eigen::Index>(finding.index)
                        : regions + static_cast<Eigen::Index>(opening_at(verdict, finding));
    worth.finding_weight[at] += extra;
    extra /= 2.0;
  }
  worth.surface_weight.resize(static_cast<Eigen::Index>(sample.size()));
  for (std::size_t i = 0; i < sample.size(); ++i) {
    worth.surface_weight[static_cast<Eigen::Index>(i)] =
        inspection.surface.cells.area_mm2[sample[i]];
  }
  worth.surface_weight /= std::max(worth.surface_weight.sum(), 1e-300);
  worth.finding.setZero(static_cast<Eigen::Index>(views), regions + openings);
  worth.surface.setZero(static_cast<Eigen::Index>(views), worth.surface_weight.size());
  return worth;
}

Worth worth_of_views(const Inspection& inspection, const std::vector<View>& views,
                     const SurfaceRays& rays, const std::vector<Opening>& openings) {
  const SurfaceCells& cells = inspection.surface.cells;
  const Verdict& verdict = inspection.verdict;
  const std::vector<Eigen::Index> sample = sampled_cells(cells);
  Worth worth = empty_worth(inspection, views.size(), sample);
  const auto regions = static_cast<Eigen::Index>(verdict.regions.size());
  for_each_index(
      views.size(),
      [&](std::size_t v) {
        const auto row = static_cast<Eigen::Index>(v);
        for (std::size_t i = 0; i < verdict.regions.size(); ++i) {
          const Region& region = verdict.regions[i];
          worth.finding(row, static_cast<Eigen::Index>(i)) =
              quality(region.center_mm, region.normal, views[v], rays);
        }
        for (std::size_t i = 0; i < openings.size(); ++i) {
          worth.finding(row, regions + static_cast<Eigen::Index>(i)) =
              opening_quality(openings[i], views[v], rays);
        }
        for (std::size_t i = 0; i < sample.size(); ++i) {
          worth.surface(row, static_cast<Eigen::Index>(i)) =
              quality(cells.center_mm.col(sample[i]), cells.normal.col(sample[i]), views[v], rays);
        }
      },
      1);
  return worth;
}

/// What a view adds to the best that each thing has been shown so far.
double gain(const Eigen::RowVectorXd& shown, const Eigen::RowVectorXd& best,
            const Eigen::VectorXd& weight) {
  if (weight.size() == 0) return 0.0;
  return ((shown - best).cwiseMax(0.0) * weight).value();
}

/// Of findings and of bare surface, by one more view.
struct Gain {
  double finding = 0.0, surface = 0.0;
  [[nodiscard]] double all() const { return finding + surface; }
};

bool adds_less(const Gain& a, const Gain& b) {
  return a.all() < b.all();
}

/// One a view; a view that was taken adds less than any other.
std::vector<Gain> gains_of(const Worth& worth, const Eigen::RowVectorXd& found,
                           const Eigen::RowVectorXd& seen, const std::vector<bool>& taken) {
  std::vector<Gain> gains(taken.size(), Gain{-1.0, -1.0});
  for (std::size_t v = 0; v < taken.size(); ++v) {
    if (taken[v]) continue;
    const auto row = static_cast<Eigen::Index>(v);
    gains[v] = {gain(worth.finding.row(row), found, worth.finding_weight),
                gain(worth.surface.row(row), seen, worth.surface_weight)};
  }
  return gains;
}

}  // namespace

std::vector<View> choose_views(const Inspection& inspection, const SurfaceRays& rays,
                               const std::vector<Opening>& openings) {
  const std::vector<View> views = all_views();
  const Worth worth = worth_of_views(inspection, views, rays, openings);
  Eigen::RowVectorXd found = Eigen::RowVectorXd::Zero(worth.finding.cols());
  Eigen::RowVectorXd seen = Eigen::RowVectorXd::Zero(worth.surface.cols());
  std::vector<bool> taken(views.size(), false);
  std::vector<View> chosen;
  while (chosen.size() < kMostViews) {
    const std::vector<Gain> gains = gains_of(worth, found, seen, taken);
    const Gain most = *std::max_element(gains.begin(), gains.end(), adds_less);
    const bool enough = most.finding <= 0.0 && most.surface < kLeastGain;
    // Views stand in pairs on the page: no place in it stays empty.
    if (chosen.size() >= kLeastViews && chosen.size() % 2 == 0 && enough) break;
    const auto first = std::find_if(gains.begin(), gains.end(), [&](const Gain& gain) {
      return gain.all() >= most.all() - kSameGain;
    });
    const Eigen::Index best = first - gains.begin();
    taken[static_cast<std::size_t>(best)] = true;
    chosen.push_back(views[static_cast<std::size_t>(best)]);
    found = found.cwiseMax(worth.finding.row(best));
    seen = seen.cwiseMax(worth.surface.row(best));
  }
  return chosen;
}

std::optional<Eigen::Vector3d> region_anchor(const Inspection& inspection, const Region& region,
                                             const View& view, const SurfaceRays& rays) {
  if (quality(region.center_mm, region.normal, view, rays) > 0.0) return region.center_mm;
  const SurfaceMap& surface = inspection.surface;
  const std::vector<Eigen::Index> members = cells_outside(inspection, region);
  const double stride = std::max(1.0, static_cast<double>(members.size()) / kRegionSteps);
  std::optional<Eigen::Vector3d> best;
  double nearest = std::numeric_limits<double>::infinity();
  for (double i = 0.0; i < static_cast<double>(members.size()); i += stride) {
    const Eigen::Index c = members[static_cast<std::size_t>(i)];
    const Eigen::Vector3d point = surface.cells.center_mm.col(c);
    const double distance = (point - region.center_mm).norm();
    if (distance >= nearest || quality(point, surface.cells.normal.col(c), view, rays) <= 0.0) {
      continue;
    }
    nearest = distance;
    best = point;
  }
  return best;
}

}  // namespace trammel
