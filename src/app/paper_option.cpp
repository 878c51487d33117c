#include <CLI/CLI.hpp>

#include "commands.hpp"

namespace trammel::app {

void add_paper_option(CLI::App& command, PaperOption& option) {
  command.add_option("--paper", option.name, "Paper of sheet.pdf: a4 (default) or letter")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->option_text("SIZE");
}

Paper paper_of(const PaperOption& option) {
  return paper_named(option.name).value_or(Paper::A4);
}

}  // namespace trammel::app
