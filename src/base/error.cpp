#include "trammel/base/error.hpp"

#include <utility>

namespace trammel {
namespace {

std::string sentence(const std::string& where, const std::string& problem,
                     const std::string& next) {
  std::string text = where.empty() ? problem : where + ": " + problem;
  if (!next.empty()) text += ". " + next;
  return text;
}

}  // namespace

ExitCode exit_code_of(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::Usage: return ExitCode::Usage;
    case ErrorKind::Input: return ExitCode::BadInput;
    case ErrorKind::Missing: return ExitCode::InputMissing;
    case ErrorKind::Output: return ExitCode::CannotWrite;
    case ErrorKind::Internal: return ExitCode::Internal;
  }
  return ExitCode::Internal;
}

Error::Error(ErrorKind kind, std::string where, std::string problem, std::string next)
    : std::runtime_error(sentence(where, problem, next)),
      kind_(kind),
      where_(std::move(where)),
      problem_(std::move(problem)),
      next_(std::move(next)) {}

void detail::broken_promise(const char* file, int line, const char* condition,
                            std::string_view text) {
  throw Error(ErrorKind::Internal, std::string(file) + ":" + std::to_string(line),
              std::string(text) + " (" + condition + " does not hold)",
              "This is a fault of trammel itself; please report it with the command you ran");
}

}  // namespace trammel
