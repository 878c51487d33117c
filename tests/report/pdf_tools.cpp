#include "report/pdf_tools.hpp"

#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <iterator>

namespace trammel::test {

namespace fs = std::filesystem;

ScratchFolder::ScratchFolder() {
  static int next = 0;
  path_ = fs::temp_directory_path() /
          ("trammel-report-" + std::to_string(::getpid()) + "-" + std::to_string(next++));
  fs::create_directories(path_);
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

namespace {

enum class Heard { Words, Complaints };

std::optional<std::string> run_tool(const std::string& tool, const std::string& options,
                                    const std::string& pdf_bytes, Heard heard) {
  if (std::system(("command -v " + tool + " > /dev/null 2>&1").c_str()) != 0) return std::nullopt;
  const ScratchFolder folder;
  const fs::path pdf = folder.path() / "sheet.pdf", out = folder.path() / "out.txt";
  std::ofstream(pdf, std::ios::binary) << pdf_bytes;
  // pdftotext wants its output named; the others print.
  const std::string target = tool == "pdftotext" ? " -" : "";
  const std::string words = heard == Heard::Words ? out.string() : "/dev/null";
  const std::string complaints = heard == Heard::Words ? "/dev/null" : out.string();
  const std::string command =
      tool + " " + options + " " + pdf.string() + target + " > " + words + " 2> " + complaints;
  if (std::system(command.c_str()) != 0) return std::string("the tool failed: " + command);
  std::ifstream in(out, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

}  // namespace

std::optional<std::string> print_of(const std::string& tool, const std::string& options,
                                    const std::string& pdf_bytes) {
  return run_tool(tool, options, pdf_bytes, Heard::Words);
}

std::optional<std::string> complaints_of(const std::string& tool, const std::string& pdf_bytes) {
  return run_tool(tool, "", pdf_bytes, Heard::Complaints);
}

}  // namespace trammel::test
