#include "read_align.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/text.hpp"

namespace trammel::read {
namespace {

using Words = std::vector<std::string>;

constexpr std::size_t kFewestPairs = 3;
constexpr std::size_t kDatums = 3;
/// Points that lie nearer to one line than this share of its length leave the turn about it open.
constexpr double kLeastBreadth = 0.02;

std::string choices(const Words& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i)
    text += (i == 0 ? "\"" : i + 1 == words.size() ? " or \"" : ", \"") + words[i] + "\"";
  return text;
}

/// The word of a key that must be one of a few; the first of them when it is absent.
std::string choice(const PlanTable& table, const std::string& key, const Words& known) {
  const std::string word = table.text(key).value_or(known.front());
  if (std::find(known.begin(), known.end(), word) != known.end()) return word;
  table.fail(table.at(key), "expected " + choices(known) + " for 'align." + key + "', found \"" +
                                printable(word) + "\"" + did_you_mean(word, known));
}

AlignMethod method_of(const std::string& word) {
  for (const AlignMethod method : {AlignMethod::Datums, AlignMethod::Pairs, AlignMethod::AsScanned})
    if (word == method_name(method)) return method;
  return AlignMethod::BestFit;
}

/// Distance of the point farthest from the line through the two that lie farthest apart, as a share
/// of that line's length; 0 when all points are one.
double breadth(const std::vector<Eigen::Vector3d>& points) {
  Eigen::Vector3d from = Eigen::Vector3d::Zero(), along = from;
  for (const Eigen::Vector3d& a : points)
    for (const Eigen::Vector3d& b : points)
      if ((b - a).norm() > along.norm()) {
        from = a;
        along = b - a;
      }
  const double length = along.norm();
  if (!(length > 0.0)) return 0.0;
  double farthest = 0.0;
  for (const Eigen::Vector3d& p : points)
    farthest = std::max(farthest, (p - from).cross(along / length).norm());
  return farthest / length;
}

/// Keys that mean nothing with the method asked for would be passed over in silence.
void refuse_keys_of_other_methods(const PlanTable& root, const PlanTable& align,
                                  AlignMethod method) {
  struct Key {
    const char* name;
    AlignMethod of;
  };
  const auto refuse = [&](const PlanTable& table, const Key& key) {
    if (!table.has(key.name) || key.of == method) return;
    table.fail(table.at(key.name), "expected align.method = \"" + method_name(key.of) +
                                       "\" beside '" + key.name + "', found \"" +
                                       method_name(method) + "\"");
  };
  for (const Key& key : {Key{"refine", AlignMethod::Pairs}, Key{"fit", AlignMethod::Datums},
                         Key{"on", AlignMethod::BestFit}, Key{"off", AlignMethod::BestFit}})
    refuse(align, key);
  for (const Key& key : {Key{"pair", AlignMethod::Pairs}, Key{"datum", AlignMethod::Datums}})
    refuse(root, key);
}

std::vector<std::string> zone_names(const PlanTable& align, const std::string& key,
                                    const Plan& plan) {
  const auto names = align.texts(key);
  if (!names) return {};
  Words known;
  for (const Zone& zone : plan.zones)
    known.push_back(zone.name);
  for (const std::string& name : *names) {
    if (std::find(known.begin(), known.end(), name) != known.end()) continue;
    align.fail(align.at(key),
               "expected names of zones for 'align." + key + "', found '" + printable(name) + "'" +
                   did_you_mean(name, known),
               "Give the zone its shape under [[zone]]");
  }
  if (names->empty())
    align.fail(align.at(key), "expected a zone for 'align." + key + "', found none");
  return *names;
}

Eigen::Vector3d place_of(const PlanTable& table, const std::string& key) {
  const auto values = *table.numbers(key, 3);
  return {values[0], values[1], values[2]};
}

void read_pairs(const PlanTable& root, const std::string& file, Plan& plan) {
  for (const toml::table* found : root.tables("pair")) {
    const PlanTable pair(*found, file, "pair " + std::to_string(plan.pairs.size() + 1),
                         {"design", "scan"});
    pair.need("design", "a place on the design, mm");
    pair.need("scan", "the same place in the scan, in its own unit");
    plan.pairs.push_back({place_of(pair, "design"), place_of(pair, "scan")});
  }
}

/// Pairs must leave no motion open.
void check_pairs(const PlanTable& root, const PlanTable& align, const Plan& plan) {
  if (plan.pairs.size() < kFewestPairs) {
    align.fail(align.at("method"),
               "expected three [[pair]] or more for method \"pairs\", found " +
                   std::to_string(plan.pairs.size()),
               "Give places that lie far apart and not in one line");
  }
  std::vector<Eigen::Vector3d> in_design, in_scan;
  for (const PointPair& pair : plan.pairs) {
    in_design.push_back(pair.design_mm);
    in_scan.push_back(pair.scan);
  }
  const bool flat_design = breadth(in_design) < kLeastBreadth;
  if (!flat_design && breadth(in_scan) >= kLeastBreadth) return;
  root.fail(*root.tables("pair").back(),
            std::string("expected pairs that do not lie in one line, but their places in the ") +
                (flat_design ? "design" : "scan") + " do",
            "Pick one that lies well beside the line through the others");
}

void read_datums(const PlanTable& root, const std::string& file, Plan& plan) {
  for (const toml::table* found : root.tables("datum")) {
    const PlanTable table(*found, file, "datum " + std::to_string(plan.datums.size() + 1),
                          {"label", "at"});
    table.need("label", "A, B or C");
    table.need("at", "a point of the design on the face, or near the hole");
    const std::string label = *table.text("label");
    const bool is_label = label == "A" || label == "B" || label == "C";
    const bool is_new =
        std::none_of(plan.datums.begin(), plan.datums.end(),
                     [&](const DatumFeature& other) { return other.label == label; });
    if (!is_label || !is_new) {
      table.fail(table.at("label"),
                 std::string("expected \"A\", \"B\" or \"C\" for 'label', each once, found \"") +
                     printable(label) + (is_label ? "\" twice" : "\""));
    }
    plan.datums.push_back({label, place_of(table, "at")});
  }
  std::sort(plan.datums.begin(), plan.datums.end(),
            [](const DatumFeature& a, const DatumFeature& b) { return a.label < b.label; });
}

void check_datums(const PlanTable& align, const Plan& plan) {
  if (plan.datums.size() == kDatums) return;
  align.fail(align.at("method"),
             "expected [[datum]] A, B and C for method \"datums\", found " +
                 std::to_string(plan.datums.size()),
             "A is the face that the part rests on, B and C are faces or holes that stop it from "
             "sliding and turning there");
}

}  // namespace

void read_align(const PlanTable& root, const std::string& file, Plan& plan) {
  static const toml::table kNone;
  const toml::table* found = root.table("align");
  const PlanTable align(found == nullptr ? kNone : *found, file, "align",
                        {"method", "refine", "fit", "on", "off"});
  plan.method = method_of(choice(align, "method", {"best-fit", "datums", "pairs", "as-scanned"}));
  read_pairs(root, file, plan);
  read_datums(root, file, plan);
  refuse_keys_of_other_methods(root, align, plan.method);
  plan.refine = align.flag("refine").value_or(true);
  plan.datum_fit = choice(align, "fit", {"outer", "least-squares"}) == "outer"
                       ? DatumFit::Outer
                       : DatumFit::LeastSquares;
  plan.fit_on = zone_names(align, "on", plan);
  plan.fit_off = zone_names(align, "off", plan);
  if (plan.method == AlignMethod::Pairs) check_pairs(root, align, plan);
  if (plan.method == AlignMethod::Datums) check_datums(align, plan);
}

}  // namespace trammel::read
