#include "trammel/report/paper.hpp"

namespace trammel {

PaperSize size_of(Paper paper) {
  if (paper == Paper::Letter) return {612.0, 792.0};
  return {595.0, 842.0};
}

std::optional<Paper> paper_named(std::string_view name) {
  if (name == "a4") return Paper::A4;
  if (name == "letter") return Paper::Letter;
  return std::nullopt;
}

}  // namespace trammel
