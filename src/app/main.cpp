/// The command line: reads options, runs one command, turns errors into one message and an exit
/// code.

#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <new>
#include <string>
#include <system_error>
#include <vector>

#include "commands.hpp"
#include "cut_input.hpp"
#include "plain_output.hpp"
#include "stack_room.hpp"
#include "stop_signals.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/run_info.hpp"
#include "trammel/base/text.hpp"
#include "usage_words.hpp"

namespace {

using trammel::ErrorKind;
using trammel::ExitCode;

int tell(const std::string& message, ExitCode code) {
  std::cerr << "trammel: " << trammel::printable(message) << '\n';
  return static_cast<int>(code);
}

/// Makes no words: there may be no memory for them.
int tell_no_memory() {
  std::cerr << "trammel: " << trammel::app::kNoMemory << '\n';
  return static_cast<int>(ExitCode::Internal);
}

/// Without the words that leave the sheet as it is, so that they do not change the command that
/// stands on it.
std::vector<std::string> words_that_count(int argc, char** argv) {
  std::vector<std::string> words;
  for (int i = 0; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--threads") ++i;  // and its number
    if (word == "--threads" || word == "--quiet" || word.rfind("--threads=", 0) == 0) continue;
    words.push_back(word);
  }
  return words;
}

int run(int argc, char** argv) {
  CLI::App app{"Trammel checks a scanned part against its design: pass, fail or undecided.",
               "trammel"};
  app.set_version_flag("--version", "trammel " + trammel::program_version());
  app.footer(
      "Example: trammel check bracket.toml --scan bracket.ply\n"
      "Exit codes: 0 pass, 1 fail, 2 undecided, 64 usage, 65 bad data, 66 missing, 70 a fault of "
      "trammel or too little memory, 73 cannot write.");
  app.require_subcommand(1);
  app.fallthrough();
  trammel::app::Common common{false, 0, words_that_count(argc, argv)};
  app.add_flag("--quiet", common.quiet, "Say nothing but the summary");
  app.add_option("--threads", common.threads, "Worker threads (default: all)")
      ->check(CLI::Range(1, 4096));
  trammel::app::Commands commands(app);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    return tell(trammel::app::usage_words(app, error, argc, argv), ExitCode::Usage);
  }
  const trammel::ThreadLimit limit(common.threads);
  return commands.run(common);
}

}  // namespace

int main(int argc, char** argv) {
  trammel::app::take_stack_room();
  trammel::app::answer_cut_input();
  const trammel::app::PlainOutput plain;
  try {
    trammel::app::answer_stop_signals();
    return run(argc, argv);
  } catch (const trammel::Error& error) {
    return tell(error.what(), trammel::exit_code_of(error.kind()));
  } catch (const std::bad_alloc&) {
    return tell_no_memory();
  } catch (const std::system_error& error) {
    return tell(std::string("the system gives no thread or no memory: ") + error.what() +
                    ". Close other programs, raise the limits (ulimit -a) or use --threads 1",
                ExitCode::Internal);
  } catch (const std::exception& error) {
    return tell(std::string("unexpected: ") + error.what(), ExitCode::Internal);
  }
}
