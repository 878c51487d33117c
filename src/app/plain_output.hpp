#pragma once

/// What is said on stdout and stderr, for the locale it is said in.

#include <iosfwd>
#include <memory>
#include <string>

namespace trammel::app {

/// While it lives, std::cout and std::cerr write the program's signs in ASCII, unless the locale
/// shows UTF-8.
class PlainOutput {
 public:
  PlainOutput();
  ~PlainOutput();
  PlainOutput(const PlainOutput&) = delete;
  PlainOutput& operator=(const PlainOutput&) = delete;

 private:
  std::unique_ptr<std::streambuf> out_, error_;
};

/// JSON is UTF-8 in every locale (RFC 8259, 8.1).
void print_json(const std::string& json);

}  // namespace trammel::app
