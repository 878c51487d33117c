/// README.md and DEVELOPERS.md against the tree and the program: paths, options, tasks, the plan.

#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>
#include <string>

#include "trammel/base/error.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

using Names = std::set<std::string>;

const fs::path kRoot = TRAMMEL_SOURCE_DIR;

std::string text_of(const std::string& file) {
  std::ifstream in(kRoot / file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// Group 1 of every match.
Names matches(const std::string& text, const std::string& pattern) {
  const std::regex expression(pattern);
  Names found;
  for (std::sregex_iterator at(text.begin(), text.end(), expression), end; at != end; ++at)
    found.insert((*at)[1]);
  return found;
}

/// What a command prints to stdout.
std::string output_of(const std::string& command) {
  std::string output;
  std::FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return output;
  std::array<char, 4096> buffer{};
  for (std::size_t read = 1; read > 0;) {
    read = std::fread(buffer.data(), 1, buffer.size(), pipe);
    output.append(buffer.data(), read);
  }
  pclose(pipe);
  return output;
}

/// Targets of links, and code words with a slash in them; not pages of the web, places in the page,
/// patterns such as tests/<stage>/, and what lies outside the tree.
Names paths_in(const std::string& text) {
  Names paths = matches(text, R"(\]\(([^)#:]+)\))");
  for (const std::string& word : matches(text, "`([A-Za-z.][A-Za-z0-9_.-]*/[A-Za-z0-9_./-]*)`")) {
    const bool outside = word.rfind("shared/", 0) == 0 || word.rfind("build/", 0) == 0;
    if (!outside) paths.insert(word);
  }
  return paths;
}

/// The block that begins after a line and ends with the next fence.
std::string block_after(const std::string& text, const std::string& opening) {
  const std::size_t at = text.find(opening);
  if (at == text.npos) return {};
  const std::size_t begin = at + opening.size();
  return text.substr(begin, text.find("\n```", begin) - begin + 1);
}

TEST(Docs, NameOnlyPathsThatExist) {
  for (const char* page : {"README.md", "DEVELOPERS.md"}) {
    const Names paths = paths_in(text_of(page));
    EXPECT_GE(paths.size(), 5u) << page << " names hardly any path: is it read aright?";
    for (const std::string& path : paths)
      EXPECT_TRUE(fs::exists(kRoot / path)) << page << " names " << path;
  }
}

TEST(Docs, TreeOfDevelopersNamesEveryFolderOfSrc) {
  const std::string tree = block_after(text_of("DEVELOPERS.md"), "## Where things are\n\n```\n");
  Names told = matches(tree, "\n  ([a-z]+)/ ");
  Names there;
  for (const auto& entry : fs::directory_iterator(kRoot / "src")) {
    if (entry.is_directory()) there.insert(entry.path().filename());
  }
  EXPECT_EQ(told, there);
}

TEST(Docs, ReadmeNamesOnlyOptionsThatTheProgramHas) {
  const std::string program = TRAMMEL_PROGRAM;
  std::string help;
  for (const char* command : {"", " changes", " check", " lighten", " look", " square"})
    help += output_of("'" + program + "'" + command + " --help");
  const Names known = matches(help, "(--[a-z]+)");
  const Names named = matches(text_of("README.md"), "(--[a-z]+)");
  EXPECT_GE(named.size(), 5u) << "README.md names hardly any option: is it read aright?";
  for (const std::string& option : named)
    EXPECT_EQ(known.count(option), 1u) << "README.md names " << option;
}

TEST(Docs, NameOnlyTasksThatDevKnows) {
  const Names known =
      matches(output_of("'" + (kRoot / "dev").string() + "'"), R"(\./dev ([a-z-]+))");
  for (const char* page : {"README.md", "DEVELOPERS.md"}) {
    const Names named = matches(text_of(page), R"(\./dev ([a-z-]+))");
    EXPECT_GE(named.size(), 2u) << page << " names hardly any task: is it read aright?";
    for (const std::string& task : named)
      EXPECT_EQ(known.count(task), 1u) << page << " names ./dev " << task;
  }
}

TEST(Docs, PlanOfReadmeIsOne) {
  const std::string text = block_after(text_of("README.md"), "```toml\n");
  const Plan plan = parse_plan(text, "bracket.toml");
  EXPECT_EQ(plan.design, "bracket.stl");
  EXPECT_EQ(plan.zones.size(), 1u);
  EXPECT_EQ(plan.holes.size(), 1u);
}

/// The keys that the reader of plans lists when it meets one it does not know.
Names keys_known_in(const std::string& table) {
  try {
    (void)parse_plan("design = 'a.stl'\n" + table + "\nunheard_of = 1\n", "a.toml");
  } catch (const Error& error) {
    const std::string message = error.what();
    const std::size_t at = message.find("Known here are:");
    if (at != message.npos) return matches(message.substr(at + 15), "([a-z_]+)");
  }
  return {};
}

TEST(Docs, TableOfReadmeNamesEveryKeyOfThePlan) {
  const std::string readme = text_of("README.md");
  const Names tables{"",
                     "[scan]",
                     "[align]",
                     "[band]",
                     "[[zone]]",
                     "[[hole]]",
                     "[[pin]]",
                     "[[slot]]",
                     "[[pair]]",
                     "[[datum]]",
                     "[[distance]]",
                     "[[mate]]",
                     "[[flatness]]",
                     "[[parallelism]]",
                     "[[perpendicularity]]",
                     "[[angle]]",
                     "[[thickness]]",
                     "[coverage]",
                     "[region]"};
  for (const std::string& table : tables) {
    const Names keys = keys_known_in(table);
    EXPECT_FALSE(keys.empty()) << table;
    for (const std::string& key : keys) {
      const bool is_table = tables.count('[' + key + ']') + tables.count("[[" + key + "]]") > 0;
      const std::string row = is_table ? '[' + key + ']' : '`' + key + '`';
      EXPECT_NE(readme.find(row), readme.npos) << "README.md lacks " << row << " of " << table;
    }
  }
}

}  // namespace
}  // namespace trammel
