#pragma once

/// A flaw of the whole part or of a face, from unknowns to figures and a sentence.

#include "trammel/judge/explain.hpp"
#include "trammel/judge/local_flaws.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// Figures, words and action of an explained flaw; the share is left to the caller. A bow or twist
/// whose bend is less than 0.4 of its lean or level, or than `matters_mm`, is called a lean; a lean
/// whose ends differ by less than 0.4 of its level, or than `matters_mm`, an offset. Axes along
/// which the part grew by less than `matters_mm` are not told beside others.
[[nodiscard]] Flaw described_flaw(const ExplainedFlaw& explained,
                                  const std::vector<FlatFace>& faces, const Box& part,
                                  double matters_mm);

/// Words and action of a dent, blob or bent corner.
[[nodiscard]] Flaw described_flaw(const LocalFlaw& local);

}  // namespace trammel
