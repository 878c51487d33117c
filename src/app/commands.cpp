#include "commands.hpp"

#include <CLI/CLI.hpp>
#include <iostream>

#include "trammel/base/error.hpp"

namespace trammel::app {

Narrator narrator(const Common& common) {
  if (common.quiet) return [](const std::string&) {};
  return [](const std::string& what) { std::cerr << "trammel: " << what << '\n'; };
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
