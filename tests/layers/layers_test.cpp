/// The order of the layers (DESIGN, "The tree"), checked on every #include line.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace trammel {
namespace {

namespace fs = std::filesystem;

using Names = std::set<std::string>;

const fs::path kRoot = TRAMMEL_SOURCE_DIR;
const Names kStages{"read", "tidy", "align", "compare", "judge", "changes", "lighten", "square"};

/// Layers that a layer may include, itself among them.
Names reach_of(const std::string& layer) {
  if (layer == "base") return {"base"};
  if (layer == "model") return {"base", "model"};
  if (layer == "geometry") return {"base", "model", "geometry"};
  if (layer == "report") return {"base", "model", "report"};
  if (kStages.count(layer) == 1) return {"base", "model", "geometry", layer};
  Names all{"base", "model", "geometry", "inspect"};
  all.insert(kStages.begin(), kStages.end());
  if (layer == "inspect") return all;
  all.insert("compare_scans");
  if (layer == "compare_scans") return all;
  if (layer == "app") {
    all.insert({"app", "report"});
    return all;
  }
  ADD_FAILURE() << "layer '" << layer << "' has no place in the order";
  return {};
}

struct Include {
  std::string file;   ///< relative to the project
  std::string layer;  ///< of the file
  std::string what;   ///< with its brackets or quotes, "<vector>"
  bool in_public_header;
};

/// "read" for "include/trammel/read/x.hpp" and "src/read/x.cpp"; "inspect" for what lies beside the
/// folders, but for the one that is no part of a check.
std::string layer_of(const fs::path& below) {
  if (below.has_parent_path()) return below.begin()->string();
  return below.stem() == "compare_scans" ? "compare_scans" : "inspect";
}

void append_includes(const fs::path& folder, bool is_public, std::vector<Include>& found) {
  static const std::regex kLine(R"(^\s*#\s*include\s*([<"][^>"]+[>"]).*)");
  for (const auto& entry : fs::recursive_directory_iterator(kRoot / folder)) {
    const std::string ending = entry.path().extension();
    if (ending != ".cpp" && ending != ".hpp") continue;
    std::ifstream file(entry.path());
    std::smatch match;
    for (std::string line; std::getline(file, line);) {
      if (!std::regex_match(line, match, kLine)) continue;
      found.push_back({fs::relative(entry.path(), kRoot),
                       layer_of(fs::relative(entry.path(), kRoot / folder)), match[1], is_public});
    }
  }
}

const std::vector<Include>& all_includes() {
  static const std::vector<Include> kFound = [] {
    std::vector<Include> found;
    append_includes("include/trammel", true, found);
    append_includes("src", false, found);
    return found;
  }();
  return kFound;
}

/// "read" for "\"trammel/read/x.hpp\"", empty for what is not ours.
std::string layer_included(const std::string& what) {
  constexpr std::string_view kOurs = "\"trammel/";
  if (what.rfind(kOurs, 0) != 0) return {};
  return layer_of(fs::path(what.substr(kOurs.size(), what.size() - kOurs.size() - 1)));
}

bool starts_with(const std::string& text, const std::string& start) {
  return text.rfind(start, 0) == 0;
}

TEST(Layers, AreReadFromEveryFolder) {
  Names layers;
  for (const Include& include : all_includes())
    layers.insert(include.layer);
  for (const char* layer : {"base", "model", "geometry", "read", "tidy", "align", "compare",
                            "changes", "judge", "report", "inspect", "app"}) {
    EXPECT_EQ(layers.count(layer), 1u) << layer;
  }
}

TEST(Layers, AreToldFromThePath) {
  EXPECT_EQ(layer_of("read/parse_ply.cpp"), "read");
  EXPECT_EQ(layer_of("inspect.hpp"), "inspect");
  EXPECT_EQ(layer_included("\"trammel/judge/regions.hpp\""), "judge");
  EXPECT_EQ(layer_included("\"trammel/inspect.hpp\""), "inspect");
  EXPECT_EQ(layer_included("<vector>"), "");
}

TEST(Layers, LookDownwardsOnly) {
  for (const Include& include : all_includes()) {
    const std::string target = layer_included(include.what);
    if (target.empty()) continue;
    EXPECT_EQ(reach_of(include.layer).count(target), 1u)
        << include.file << " includes " << include.what << ", but '" << include.layer
        << "' must not know '" << target << "'";
  }
}

TEST(Layers, OfStagesDoNotKnowEachOther) {
  for (const std::string& stage : kStages) {
    for (const std::string& other : kStages)
      EXPECT_EQ(reach_of(stage).count(other), stage == other ? 1u : 0u);
    EXPECT_EQ(reach_of(stage).count("report"), 0u);
  }
}

TEST(PublicHeaders, IncludeTheStandardLibraryEigenAndOursOnly) {
  static const std::regex kStandard("<[a-z_0-9]+>");
  for (const Include& include : all_includes()) {
    if (!include.in_public_header) continue;
    const bool allowed = std::regex_match(include.what, kStandard) ||
                         starts_with(include.what, "<Eigen/") ||
                         starts_with(include.what, "\"trammel/");
    EXPECT_TRUE(allowed) << include.file << " includes " << include.what
                         << "; keep libraries inside src/";
  }
}

TEST(Libraries, StayWhereTheyBelong) {
  for (const Include& include : all_includes()) {
    if (include.layer != "app") {
      EXPECT_FALSE(starts_with(include.what, "<CLI/"))
          << include.file << ": only src/app knows the command line";
    }
    EXPECT_FALSE(starts_with(include.what, "<CGAL/"))
        << include.file << ": CGAL is for tests and benches";
  }
}

TEST(Sources, HaveATestOfTheSameName) {
  std::size_t units = 0;
  std::string missing;
  for (const auto& entry : fs::recursive_directory_iterator(kRoot / "src")) {
    const fs::path below = fs::relative(entry.path(), kRoot / "src");
    // The app is tested by running it (tests/cli).
    const bool is_unit = entry.path().extension() == ".cpp" && layer_of(below) != "app";
    if (!is_unit) continue;
    ++units;
    const fs::path test = "tests" / below.parent_path() / (below.stem().string() + "_test.cpp");
    if (!fs::exists(kRoot / test)) missing += "\n  " + test.string();
  }
  EXPECT_EQ(missing, "");
  EXPECT_GT(units, 20u);
}

TEST(Sources, LieInFoldersThatHaveHeaders) {
  for (const auto& entry : fs::directory_iterator(kRoot / "src")) {
    if (!entry.is_directory() || entry.path().filename() == "app") continue;
    EXPECT_TRUE(fs::is_directory(kRoot / "include/trammel" / entry.path().filename()))
        << entry.path().filename();
  }
}

}  // namespace
}  // namespace trammel
