#include "trammel/model/flaw.hpp"

namespace trammel {

std::string flaw_name(FlawKind kind) {
  switch (kind) {
    case FlawKind::Shrink: return "shrink";
    case FlawKind::Skin: return "skin";
    case FlawKind::Offset: return "offset";
    case FlawKind::Lean: return "lean";
    case FlawKind::Bow: return "bow";
    case FlawKind::Twist: return "twist";
    case FlawKind::Dent: return "dent";
    case FlawKind::Blob: return "blob";
    case FlawKind::Corner: return "corner";
  }
  return {};
}

}  // namespace trammel
