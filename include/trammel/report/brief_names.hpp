#pragma once

/// Sentences in which a name of 300 letters leaves room for what is said of it.

#include <string>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// Names of holes, pins, slots, distances and forms that are longer than 40 letters are cut in
/// their middle wherever they stand; the tables have them whole.
/// @param text  printable
[[nodiscard]] std::string with_brief_names(const Verdict& verdict, std::string text);

}  // namespace trammel
