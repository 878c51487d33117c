#include "usage_words.hpp"

#include <CLI/CLI.hpp>
#include <optional>
#include <vector>

#include "commands.hpp"
#include "trammel/base/text.hpp"

namespace trammel::app {
namespace {

/// The command that was given; the program itself where none was.
const CLI::App& chosen(const CLI::App& app) {
  const auto commands = app.get_subcommands();
  return commands.empty() ? app : *commands.front();
}

std::string call_of(const CLI::App& app) {
  const CLI::App& command = chosen(app);
  return &command == &app ? "trammel" : "trammel " + command.get_name();
}

std::vector<std::string> option_names(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* where : {&app, &chosen(app)})
    for (const CLI::Option* option : where->get_options())
      for (const std::string& name : option->get_lnames())
        names.push_back("--" + name);
  return names;
}

/// Words that nothing takes: an option that is none tells most.
std::optional<std::string> words_left_over(const CLI::App& app) {
  const std::vector<std::string> left = app.remaining(true);
  for (const std::string& word : left) {
    if (word.rfind('-', 0) != 0 || word.size() < 2) continue;
    return "expected an option of '" + call_of(app) + "', found '" + word + "'" +
           did_you_mean(word.substr(0, word.find('=')), option_names(app));
  }
  if (left.empty()) return {};
  return "expected nothing more for '" + call_of(app) + "', found '" + left.front() + "'";
}

/// CLI11's "--scan is required", "--scan: 1 required TEXT missing" and "--paper: a3 not in
/// {a4,letter}" in the words of all other errors.
std::string in_own_words(std::string message) {
  const std::string required = " is required", missing = " missing";
  if (ends_with(message, required)) {
    message.resize(message.size() - required.size());
    const bool is_command = message == "A subcommand";
    return "expected " + (is_command ? std::string("a command") : message) + ", found none";
  }
  const std::size_t colon = message.find(": ");
  if (colon == std::string::npos) return message;
  const std::string name = message.substr(0, colon);
  if (ends_with(message, missing)) return name + ": expected a value after it, found none";
  const std::size_t outside = message.find(" not in ", colon);
  if (outside == std::string::npos) return message;
  std::string found = message.substr(colon + 2, outside - colon - 2);
  const std::string value = "Value ";
  if (found.rfind(value, 0) == 0) found.erase(0, value.size());
  return name + ": expected a value in " + message.substr(outside + 8) + ", found '" + found + "'";
}

}  // namespace

std::string usage_words(const CLI::App& app, const CLI::ParseError& error, int argc, char** argv) {
  const bool has_command = !app.get_subcommands().empty();
  std::string message;
  if (argc > 1 && !has_command && argv[1][0] != '-') {
    message = std::string("expected a command, found '") + argv[1] + "'" +
              did_you_mean(argv[1], Commands::names());
  } else {
    message = words_left_over(app).value_or(in_own_words(error.what()));
  }
  if (message.back() != '?') message += '.';
  return message + " Run '" + call_of(app) + " --help' for " +
         (has_command ? "what it takes, with an example" : "the commands and their options");
}

}  // namespace trammel::app
