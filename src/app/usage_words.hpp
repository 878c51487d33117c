#pragma once

/// What a command line that makes no sense is told: what was expected, what was found, what to do.

#include <string>

namespace CLI {
class App;
class ParseError;
}  // namespace CLI

namespace trammel::app {

/// @param app  as far as it was parsed when the error came
[[nodiscard]] std::string usage_words(const CLI::App& app, const CLI::ParseError& error, int argc,
                                      char** argv);

}  // namespace trammel::app
