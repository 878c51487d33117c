#include "trammel/judge/explain.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "trammel/judge/truncated_fit.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// A face is tried when it has so many independent readings, and is off by a share of what matters.
constexpr double kEnoughReadings = 8.0;
constexpr double kOffShare = 0.3;
constexpr std::size_t kMostFacesTried = 16;
/// Walls that lie where they should, the largest, are tried as well: the part may lie on them.
constexpr std::size_t kMostHolding = 6;
/// Share of the gain that two flaws may differ by and still explain about as much.
constexpr double kAboutAsMuch = 0.05;
/// A further flaw is told from this share of a larger one on the same face on: no shape is exact.
constexpr double kBesideLarger = 0.15;
constexpr double kMostAlongAxis = 0.1;  // common practice, no source: prints shrink by 3 % at most
/// No flaw moves a place by more than so many times what was read anywhere: the motion of the part
/// and other flaws take some of it back.
constexpr double kBeyondRead = 2.0;
/// A face or wall that moved as it is, the motion takes back more of: of two flanges alike of which
/// one leans, the fit takes half of the angle, and halves what is left about the flange's middle.
/// What it leaves of the flaw alone is held to what was read as the others are.
constexpr double kMovedBeyondRead = 4.0;
/// Growth moves opposite ends apart, and no motion of the part takes both of them back.
constexpr double kGrownBeyondRead = 1.25;
/// Of what is read where a flaw changes what is made of it by what matters, that it may leave at
/// most: else it is there for the sake of small things elsewhere.
constexpr double kMostLeft = 0.8;

SurfacePlace place_of(const IndependentReadings& readings, Index b) {
  return {readings.place_mm.col(b), readings.normal.col(b), readings.face[b]};
}

/// A model that is being built: the columns of the motion and of the flaws so far, and their fit.
struct Model {
  MatrixXd rows;
  TruncatedFit fit;
  double criterion = 0.0;
  VectorXd last_flaw_mm;  ///< what the flaw added last makes of each reading
};

class Explainer {
 public:
  Explainer(const IndependentReadings& readings, const std::vector<FlatFace>& faces,
            const std::vector<Wall>& walls, VectorXd matters_mm, const Vector3d& origin_mm,
            const ExplainSettings& settings)
      : readings_(readings),
        faces_(faces),
        walls_(walls),
        matters_mm_(std::move(matters_mm)),
        origin_mm_(origin_mm),
        settings_(settings),
        largest_mm_(readings.deviation_mm.cwiseAbs().maxCoeff()),
        weights_(readings.area_mm2 / (readings.side_mm * readings.side_mm)) {
    motion_.resize(readings.size(), 6);
    for (Index b = 0; b < readings.size(); ++b)
      motion_.row(b) = motion_at(origin_mm_, place_of(readings, b)).transpose();
    motion_fit_.compute(weights_.cwiseSqrt().asDiagonal() * motion_);
  }

  Explanation find() {
    Model model = motion_alone();
    while (static_cast<int>(shapes_.size()) < settings_.most_flaws) {
      auto next = best_addition(model);
      if (!next) break;
      model = std::move(next->second);
      shapes_.push_back(next->first);
      raise_what_matters(shapes_.back(), model.last_flaw_mm);
    }
    return explanation(with_what_matters(std::move(model)));
  }

 private:
  using Addition = std::pair<FlawShape, Model>;

  [[nodiscard]] MatrixXd columns_of(const FlawShape& shape) const {
    MatrixXd out(readings_.size(), shape.size());
    for (Index b = 0; b < readings_.size(); ++b)
      out.row(b) = shape_at(shape, faces_, origin_mm_, place_of(readings_, b)).transpose();
    return out;
  }

  void fit(Model& model, const VectorXd& start) const {
    model.fit =
        truncated_fit(model.rows, readings_.deviation_mm, weights_, settings_.reach_mm, start);
    const double n = readings_.effective_count();
    const double noise = settings_.least_noise_mm;
    model.criterion = n * std::log(model.fit.loss / n + noise * noise) +
                      static_cast<double>(model.fit.rank) * std::log(n);
  }

  [[nodiscard]] Model motion_alone() const {
    Model model;
    model.rows = motion_;
    fit(model, VectorXd::Zero(6));
    return model;
  }

  /// Faces whose readings are off, the worst first.
  [[nodiscard]] std::vector<int> faces_worth_trying(const Model& model) const {
    VectorXd squares = VectorXd::Zero(static_cast<Index>(faces_.size())), weight = squares;
    for (Index b = 0; b < readings_.size(); ++b) {
      const int face = readings_.face[b];
      if (face < 0) continue;
      const double off = model.fit.residual[b] / (kOffShare * matters_mm_[b]);
      squares[face] += weights_[b] * off * off;
      weight[face] += weights_[b];
    }
    std::vector<int> tried;
    for (int face = 0; face < static_cast<int>(faces_.size()); ++face)
      if (weight[face] >= kEnoughReadings && squares[face] > weight[face]) tried.push_back(face);
    std::stable_sort(tried.begin(), tried.end(),
                     [&](int a, int b) { return squares[a] > squares[b]; });
    if (tried.size() > kMostFacesTried) tried.resize(kMostFacesTried);
    return tried;
  }

  /// The pose follows what is large: of a part whose large wall was moved the wall lies where it
  /// should, and all the rest is off by one and the same motion.
  [[nodiscard]] std::vector<Wall> holding_walls(const std::vector<int>& off) const {
    VectorXd weight = VectorXd::Zero(static_cast<Index>(faces_.size()));
    for (Index b = 0; b < readings_.size(); ++b)
      if (readings_.face[b] >= 0) weight[readings_.face[b]] += weights_[b];
    const auto is_off = [&](int face) {
      return std::find(off.begin(), off.end(), face) != off.end();
    };
    std::vector<Wall> out;
    for (const Wall& wall : walls_)
      if (!is_off(wall.front) && !is_off(wall.back) && weight[wall.front] >= kEnoughReadings)
        out.push_back(wall);
    std::stable_sort(out.begin(), out.end(), [&](const Wall& a, const Wall& b) {
      return weight[a.front] + weight[a.back] > weight[b.front] + weight[b.back];
    });
    if (out.size() > kMostHolding) out.resize(kMostHolding);
    return out;
  }

  /// The part as a whole shrinks once, and each face or wall has one form.
  [[nodiscard]] bool is_told_already(const FlawShape& shape) const {
    return std::any_of(shapes_.begin(), shapes_.end(), [&](const FlawShape& told) {
      if (shape.face >= 0) return told.face == shape.face && told.back == shape.back;
      return told.kind == shape.kind;
    });
  }

  [[nodiscard]] std::optional<Model> with(const Model& model, const FlawShape& shape) const {
    const MatrixXd columns = columns_of(shape);
    Model wider;
    wider.rows.resize(model.rows.rows(), model.rows.cols() + columns.cols());
    wider.rows << model.rows, columns;
    fit(wider, model.fit.unknowns);
    if (wider.fit.rank <= model.fit.rank) return std::nullopt;
    wider.last_flaw_mm = columns * wider.fit.unknowns.tail(columns.cols());
    if (!matters(wider.last_flaw_mm) || wider.criterion > model.criterion - settings_.least_gain)
      return std::nullopt;
    if (!explains_what_it_changes(model, wider) || is_no_shrink(wider, shape) ||
        flaws_undo_each_other(wider, shape))
      return std::nullopt;
    return wider;
  }

  [[nodiscard]] bool matters(const VectorXd& flaw_mm) const {
    return (flaw_mm.array().abs() >= matters_mm_.array()).any();
  }

  /// What each flaw makes of each reading, in the order of `shapes_`.
  [[nodiscard]] std::vector<VectorXd> flaws_mm(const Model& model) const {
    std::vector<VectorXd> out;
    Index at = 6;
    for (const FlawShape& shape : shapes_) {
      out.emplace_back(model.rows.middleCols(at, shape.size()) *
                       model.fit.unknowns.segment(at, shape.size()));
      at += shape.size();
    }
    return out;
  }

  /// A flaw that later ones have taken the place of goes, the smallest first, and the rest are
  /// fitted again.
  [[nodiscard]] Model with_what_matters(Model model) {
    for (;;) {
      const std::vector<VectorXd> made = flaws_mm(model);
      std::size_t least = made.size();
      double least_mm = HUGE_VAL;
      for (std::size_t i = 0; i < made.size(); ++i) {
        const double most_mm = made[i].cwiseAbs().maxCoeff();
        if (matters(made[i]) || most_mm >= least_mm) continue;
        least = i;
        least_mm = most_mm;
      }
      if (least == made.size()) return model;
      shapes_.erase(shapes_.begin() + static_cast<std::ptrdiff_t>(least));
      model = motion_alone();
      for (const FlawShape& shape : shapes_) {
        const MatrixXd columns = columns_of(shape);
        const Index before = model.rows.cols();
        model.rows.conservativeResize(Eigen::NoChange, before + columns.cols());
        model.rows.rightCols(columns.cols()) = columns;
      }
      fit(model, model.fit.unknowns);
    }
  }

  /// Of a flaw and the motion beside it, as one may stand for the other: a floor too high, or all
  /// the rest too low.
  [[nodiscard]] bool explains_what_it_changes(const Model& before, const Model& after) const {
    double lost = 0.0, left = 0.0;
    for (Index b = 0; b < readings_.size(); ++b) {
      const double was = before.fit.residual[b], is = after.fit.residual[b];
      if (std::abs(was - is) < matters_mm_[b]) continue;
      lost += weights_[b] * std::abs(was);
      left += weights_[b] * std::abs(is);
    }
    return lost > 0.0 && left <= kMostLeft * lost;
  }

  /// Along one axis a print or a casting is off by a few per cent; sheet of another thickness is
  /// not called so.
  [[nodiscard]] static bool is_no_shrink(const Model& model, const FlawShape& shape) {
    if (shape.kind != FlawKind::Shrink || shape.axes.empty()) return false;
    return model.fit.unknowns.tail(shape.size()).cwiseAbs().maxCoeff() > kMostAlongAxis;
  }

  /// Two flaws that are nearly the same shape can grow without end, one against the other, and
  /// explain a little more for it. Neither is there: no reading is as far off.
  [[nodiscard]] bool flaws_undo_each_other(const Model& model, const FlawShape& last) const {
    if (is_far_beyond_read(last, model.last_flaw_mm)) return true;
    const std::vector<VectorXd> made = flaws_mm(model);
    for (std::size_t i = 0; i < made.size(); ++i)
      if (is_far_beyond_read(shapes_[i], made[i])) return true;
    return false;
  }

  [[nodiscard]] bool is_far_beyond_read(const FlawShape& shape, const VectorXd& flaw_mm) const {
    const double moved_mm = flaw_mm.cwiseAbs().maxCoeff();
    if (shape.kind == FlawKind::Shrink) return moved_mm > kGrownBeyondRead * largest_mm_;
    if (shape.kind != FlawKind::Lean && shape.kind != FlawKind::Offset)
      return moved_mm > kBeyondRead * largest_mm_;
    return moved_mm > kMovedBeyondRead * largest_mm_ ||
           left_by_best_fit(flaw_mm).cwiseAbs().maxCoeff() > kBeyondRead * largest_mm_;
  }

  /// What would be read of a flaw alone.
  [[nodiscard]] VectorXd left_by_best_fit(const VectorXd& flaw_mm) const {
    return flaw_mm - motion_ * motion_fit_.solve(weights_.cwiseSqrt().cwiseProduct(flaw_mm));
  }

  [[nodiscard]] double moved(const Model& model) const {
    return weights_.dot(model.last_flaw_mm.cwiseAbs2());
  }

  [[nodiscard]] std::optional<Addition> best_addition(const Model& model) const {
    std::vector<Addition> found;
    const std::vector<int> off = faces_worth_trying(model);
    std::vector<FlawShape> shapes = possible_shapes(walls_, off);
    if (settings_.moves_of_holding && !off.empty()) {
      const std::vector<FlawShape> holding = moves_of_walls(holding_walls(off));
      shapes.insert(shapes.end(), holding.begin(), holding.end());
    }
    for (const FlawShape& shape : shapes) {
      if (is_told_already(shape)) continue;
      if (auto wider = with(model, shape)) found.emplace_back(shape, std::move(*wider));
    }
    if (found.empty()) return std::nullopt;
    const auto best =
        std::min_element(found.begin(), found.end(), [](const Addition& a, const Addition& b) {
          return a.second.criterion < b.second.criterion;
        });
    return with_least_moved(found, *best, model.criterion - best->second.criterion);
  }

  [[nodiscard]] Addition with_least_moved(const std::vector<Addition>& found, const Addition& best,
                                          double gain) const {
    const double allowed =
        best.second.criterion + std::max(settings_.least_gain, kAboutAsMuch * gain);
    const Addition* chosen = &best;
    for (const Addition& other : found) {
      const bool alike = other.first.kind == best.first.kind &&
                         other.first.size() == best.first.size() &&
                         other.second.criterion <= allowed &&
                         left_off(other.second) < left_off(best.second) + kEnoughReadings;
      if (alike && moved(other.second) < moved(chosen->second)) chosen = &other;
    }
    return *chosen;
  }

  /// Readings that the model leaves off by what matters: another flaw, to be told beside it.
  [[nodiscard]] double left_off(const Model& model) const {
    return (model.fit.residual.array().abs() >= matters_mm_.array())
        .select(weights_, VectorXd::Zero(weights_.size()))
        .sum();
  }

  void raise_what_matters(const FlawShape& shape, const VectorXd& flaw_mm) {
    const double least = kBesideLarger * flaw_mm.cwiseAbs().maxCoeff();
    for (Index b = 0; b < readings_.size(); ++b) {
      const int face = readings_.face[b];
      const bool beside = shape.face >= 0 && (face == shape.face || face == shape.back);
      if (beside) matters_mm_[b] = std::max(matters_mm_[b], least);
    }
  }

  [[nodiscard]] Explanation explanation(const Model& model) const {
    Explanation out;
    out.motion = model.fit.unknowns.head(6);
    const double n = std::max(1.0, readings_.effective_count());
    const double noise = std::max(settings_.least_noise_mm, std::sqrt(model.fit.loss / n));
    Index next = 6;
    for (const FlawShape& shape : shapes_) {
      const Index size = shape.size();
      out.flaws.push_back({shape, model.fit.unknowns.segment(next, size),
                           noise * model.fit.variance_per_noise.segment(next, size).cwiseSqrt()});
      next += size;
    }
    return out;
  }

  const IndependentReadings& readings_;
  const std::vector<FlatFace>& faces_;
  const std::vector<Wall>& walls_;
  VectorXd matters_mm_;
  Vector3d origin_mm_;
  ExplainSettings settings_;
  double largest_mm_;  ///< that was read
  VectorXd weights_;
  MatrixXd motion_;  ///< #B × 6
  Eigen::CompleteOrthogonalDecomposition<MatrixXd> motion_fit_;
  std::vector<FlawShape> shapes_;
};

}  // namespace

Explanation explain(const IndependentReadings& readings, const std::vector<FlatFace>& faces,
                    const std::vector<Wall>& walls, const VectorXd& matters_mm,
                    const Vector3d& origin_mm, const ExplainSettings& settings) {
  Explanation nothing;
  nothing.motion.setZero(6);
  // Six unknowns of the motion and a few of a flaw, with something left to test them on.
  if (readings.size() < 20 || readings.effective_count() < 20.0) return nothing;
  return Explainer(readings, faces, walls, matters_mm, origin_mm, settings).find();
}

double deviation_of(const ExplainedFlaw& flaw, const std::vector<FlatFace>& faces,
                    const Vector3d& origin_mm, const SurfacePlace& at) {
  return shape_at(flaw.shape, faces, origin_mm, at).dot(flaw.unknowns);
}

}  // namespace trammel
