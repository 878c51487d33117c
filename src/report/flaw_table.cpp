#include "trammel/report/flaw_table.hpp"

#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/whole_part_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr const char* kNone = "\u2013";

std::string what_of(const Flaw& flaw) {
  if (flaw.of_wall) return "wall";
  return flaw.normal.norm() > 0.0 ? "face" : "whole part";
}

/// Each axis where it differs from the others, else one figure.
std::string scale_words(const Flaw& flaw) {
  if (flaw.kind != FlawKind::Shrink) return kNone;
  const Eigen::Vector3d& scale = flaw.scale;
  if (scale.maxCoeff() - scale.minCoeff() < 5e-5) return fixed(scale.x(), 4);
  return fixed(scale.x(), 4) + " " + fixed(scale.y(), 4) + " " + fixed(scale.z(), 4);
}

TableRow flaw_row(const Flaw& flaw, std::size_t index, int decimals) {
  const bool is_placed = flaw.normal.norm() > 0.0;
  return {{std::to_string(index + 1), kInk, true, mark_of_flaw(index)},
          {flaw_name(flaw.kind)},
          {what_of(flaw)},
          {signed_fixed(flaw.figure_mm, std::max(2, decimals))},
          {flaw.angle_rad != 0.0 ? fixed(std::abs(flaw.angle_rad) / kDegree, 2) + "\u00b0" : kNone},
          {is_placed ? point_words(flaw.center_mm) : kNone},
          {is_placed ? axes_words(flaw.normal) : kNone},
          {scale_words(flaw)},
          {percent_words(flaw.share)}};
}

}  // namespace

void write_flaw_table(SheetWriter& writer, const SheetContext& context) {
  const auto& flaws = context.inspection.verdict.flaws;
  if (flaws.empty()) return;
  writer.heading("What went wrong, in figures", 30.0);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < flaws.size(); ++i)
    rows.push_back(flaw_row(flaws[i], i, context.decimals));
  writer.table({{"no.", 24.0},
                {"kind", 40.0},
                {"of the", 56.0},
                {"worst, mm", 46.0, Anchor::End},
                {"angle", 40.0, Anchor::End},
                {"worst near", 126.0},
                {"faces", 46.0},
                {"measured / drawn", 96.0},
                {"explains", 49.0, Anchor::End}},
               rows);
  for (std::size_t i = kFlawsOnFront; i < flaws.size(); ++i)
    writer.paragraph(std::to_string(i + 1) + ": " + printable(flaws[i].words));
}

}  // namespace trammel
