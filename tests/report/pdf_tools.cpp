#include "report/pdf_tools.hpp"

#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <regex>

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
  // These want their output named; the others print.
  const std::string target = tool == "pdftotext" || tool == "pdftocairo" ? " -" : "";
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

std::optional<std::vector<Word>> placed_words(const std::string& pdf_bytes) {
  const auto xml = print_of("pdftotext", "-bbox", pdf_bytes);
  if (!xml) return std::nullopt;
  const std::regex tag(
      "<page width=\"([0-9.]+)\" height=\"([0-9.]+)\">|<word xMin=\"([-0-9.]+)\" "
      "yMin=\"([-0-9.]+)\" xMax=\"([-0-9.]+)\" yMax=\"([-0-9.]+)\">([^<]*)<");
  std::vector<Word> words;
  std::size_t page = 0;
  double width = 0.0, height = 0.0;
  for (std::sregex_iterator at(xml->begin(), xml->end(), tag), end; at != end; ++at) {
    const std::smatch& m = *at;
    if (m[1].matched) {
      ++page;
      width = std::stod(m[1]);
      height = std::stod(m[2]);
      continue;
    }
    words.push_back({page, width, height, std::stod(m[3]), std::stod(m[4]), std::stod(m[5]),
                     std::stod(m[6]), m[7]});
  }
  return words;
}

}  // namespace trammel::test
