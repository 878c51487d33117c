#pragma once

/// What to do about a hole or pin that fails.

#include <string>
#include <vector>

#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// "open it to 10.9 mm, or make it 1.3 mm longer towards −X"; says so where the plan's limits of
/// size do not allow it.
/// @param it  "it", "hole A"
[[nodiscard]] std::string opening_words(const HoleOpening& opening, const std::string& it,
                                        const HoleCheck* check);

/// It is made, but off its place by more than the plan allows: it has a line of its own.
[[nodiscard]] bool is_to_move(const HoleResult& hole, const HoleCheck* check);

/// It was measured, but a scanned surface lies across it: it may not go all the way.
[[nodiscard]] bool is_not_through(const HoleResult& hole);

/// A line for its place, if that is out, and one for its size or its bolt; no line where neither
/// is.
/// @param check    of the plan, or null
/// @param opening  what its bolts ask for, or null: one hole is not to be opened to two sizes
[[nodiscard]] std::vector<std::string> hole_advice(const HoleResult& hole, const HoleCheck* check,
                                                   const HoleOpening* opening);

/// "See that hole A is drilled and that nothing lies across it".
/// @param what  "hole A", "the slot drawn at (1, 2, 3)"
[[nodiscard]] std::string absent_advice(const std::string& what, bool is_slot);

}  // namespace trammel
