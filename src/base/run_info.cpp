#include "trammel/base/run_info.hpp"

#include <array>
#include <cstdlib>
#include <ctime>
#include <optional>

#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

std::time_t moment() {
  if (const char* epoch = std::getenv("SOURCE_DATE_EPOCH")) {
    constexpr double kLast = 253402300799.0;  // the end of the year 9999
    const auto seconds = parse_double(epoch);
    if (seconds && *seconds >= 0.0 && *seconds <= kLast) return static_cast<std::time_t>(*seconds);
  }
  return std::time(nullptr);
}

std::string shell_quoted(const std::string& word) {
  constexpr const char* kPlain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-+=./,:@%";
  if (!word.empty() && word.find_first_not_of(kPlain) == std::string::npos) return word;
  std::string out = "'";
  for (const char c : word) {
    if (c == '\'') {
      out += "'\\''";
    } else {
      out += c;
    }
  }
  return out + "'";
}

}  // namespace

std::string program_version() {
  return TRAMMEL_VERSION;
}

RunInfo run_info_of_this_process(const std::vector<std::string>& arguments) {
  RunInfo info;
  info.version = program_version();
  const std::time_t now = moment();
  std::tm parts{};
  gmtime_r(&now, &parts);
  std::array<char, 32> text{};
  std::strftime(text.data(), text.size(), "%Y-%m-%d", &parts);
  info.date = text.data();
  for (const std::string& argument : arguments) {
    if (!info.command_line.empty()) info.command_line += ' ';
    info.command_line += shell_quoted(argument);
  }
  return info;
}

}  // namespace trammel
