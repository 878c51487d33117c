#include "commands.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <iostream>
#include <memory>
#include <optional>

#include "trammel/base/error.hpp"
#include "trammel/base/stage_clock.hpp"
#include "trammel/base/text.hpp"

namespace trammel::app {

namespace {

/// Characters of a line of the terminal behind stderr, where that is one.
std::optional<std::size_t> terminal_width() {
  winsize size{};
  if (::isatty(STDERR_FILENO) == 0 || ::ioctl(STDERR_FILENO, TIOCGWINSZ, &size) != 0) return {};
  return size.ws_col > 0 ? size.ws_col : std::size_t{80};
}

}  // namespace

Narrator narrator(const Common& common, const std::vector<StageShare>& shares) {
  if (common.quiet) return [](const std::string&) {};
  if (const auto width = terminal_width()) {
    const auto clock =
        std::make_shared<StageClock>(std::cerr, *width, std::chrono::seconds(1), TimeLeft(shares));
    return [clock](const std::string& what) {
      what.empty() ? clock->end() : clock->begin(printable(what), "trammel: ");
    };
  }
  return [](const std::string& what) {
    if (!what.empty()) std::cerr << "trammel: " << printable(what) << '\n';
  };
}

std::vector<std::string> Commands::names() {
  return {"changes", "check", "lighten", "look", "square"};
}

Commands::Commands(CLI::App& app)
    : changes_command_(add_changes(app, changes_)),
      check_command_(add_check(app, check_)),
      lighten_command_(add_lighten(app, lighten_)),
      square_command_(add_square(app, square_)) {
  add_look(app, look_);
}

int Commands::run(const Common& common) const {
  const int code = run_chosen(common);
  if (!std::cout.flush()) {
    throw Error(ErrorKind::Output, "stdout", "cannot write the answer",
                "Free some space where it goes to, or pipe it elsewhere");
  }
  return code;
}

int Commands::run_chosen(const Common& common) const {
  if (changes_command_->parsed()) return run_changes(changes_, common);
  if (check_command_->parsed()) return run_check(check_, common);
  if (lighten_command_->parsed()) return run_lighten(lighten_, common);
  if (square_command_->parsed()) return run_square(square_, common);
  return run_look(look_);
}

}  // namespace trammel::app
