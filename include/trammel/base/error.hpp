#pragma once

/// One exception for everything that stops the program, and the exit code each kind maps to.
///
/// Thrown at the borders (files, plans, arguments) and caught once, in main. Numerical outcomes
/// (not converged, unseen, ambiguous) are values in the results, never exceptions.

#include <stdexcept>
#include <string>
#include <string_view>

namespace trammel {

enum class ErrorKind {
  Usage,     ///< the command line was wrong
  Input,     ///< a file or plan was read and makes no sense
  Missing,   ///< a file is not there or cannot be opened
  Output,    ///< a result cannot be written
  Internal,  ///< a promise inside the program was broken
};

/// Exit codes of the program; the numbers from 64 on follow BSD sysexits.h.
enum class ExitCode : int {
  Pass = 0,
  Fail = 1,
  Undecided = 2,
  Usage = 64,
  BadInput = 65,
  InputMissing = 66,
  Internal = 70,
  CannotWrite = 73,
};

[[nodiscard]] ExitCode exit_code_of(ErrorKind kind);

/// What a person reads: where it happened, what was expected and found, what to do next.
class Error : public std::runtime_error {
 public:
  /// @param where    file, "file:line" or option; may be empty
  /// @param problem  "expected …, found …" in one sentence, without a final stop
  /// @param next     the next step for the person, in one sentence; may be empty
  Error(ErrorKind kind, std::string where, std::string problem, std::string next = {});

  [[nodiscard]] ErrorKind kind() const { return kind_; }
  [[nodiscard]] const std::string& where() const { return where_; }
  [[nodiscard]] const std::string& problem() const { return problem_; }
  [[nodiscard]] const std::string& next() const { return next_; }

 private:
  ErrorKind kind_;
  std::string where_, problem_, next_;
};

namespace detail {
[[noreturn]] void broken_promise(const char* file, int line, const char* condition,
                                 std::string_view text);
}  // namespace detail

}  // namespace trammel

/// Checks a promise between parts of the program; stays on in release builds.
#define TRAMMEL_CHECK(condition, text)                                           \
  do {                                                                           \
    if (!(condition)) {                                                          \
      ::trammel::detail::broken_promise(__FILE__, __LINE__, #condition, (text)); \
    }                                                                            \
  } while (false)
