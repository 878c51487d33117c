#include "plan_table.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"

namespace trammel::read {
namespace {

std::string kind_words(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::none: return "nothing";
    case toml::node_type::table: return "a table";
    case toml::node_type::array: return "an array";
    case toml::node_type::string: return "text";
    case toml::node_type::integer:
    case toml::node_type::floating_point: return "a number";
    case toml::node_type::boolean: return "true or false";
    case toml::node_type::date:
    case toml::node_type::time:
    case toml::node_type::date_time: return "a date or time";
  }
  return "a value";
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words)
    text += (text.empty() ? "" : ", ") + word;
  return text;
}

}  // namespace

std::string place_words(const std::string& file, const toml::source_region& source) {
  if (source.begin.line == 0) return file;
  return file + ":" + std::to_string(source.begin.line) + ":" + std::to_string(source.begin.column);
}

PlanTable::PlanTable(const toml::table& table, std::string file, std::string path,
                     const std::vector<std::string>& known)
    : table_(&table), file_(std::move(file)), path_(std::move(path)) {
  for (const auto& [key, value] : table) {
    const std::string word(key.str());
    if (std::find(known.begin(), known.end(), word) != known.end()) continue;
    throw Error(ErrorKind::Input, place_words(file_, key.source()),
                "unknown key '" + printable(full(word)) + "'" + did_you_mean(word, known),
                "Known here are: " + joined(known));
  }
}

std::optional<std::string> PlanTable::text(const std::string& key) const {
  if (!has(key)) return std::nullopt;
  const auto* value = at(key).as_string();
  if (value == nullptr) {
    fail(at(key), "expected text for '" + full(key) + "', found " + kind_words(at(key)));
  }
  return text_of(at(key), key);
}

std::string PlanTable::text_of(const toml::node& node, const std::string& key) const {
  constexpr std::size_t kMostBytes =
      2000;  // of a name on a sheet; no path is longer on most systems
  const std::string& text = node.as_string()->get();
  if (text.size() > kMostBytes) {
    fail(node, "expected at most " + std::to_string(kMostBytes) + " bytes of text for '" +
                   full(key) + "', found " + std::to_string(text.size()));
  }
  if (text.find('\0') != text.npos)
    fail(node, "expected text for '" + full(key) + "', found a byte of zero in it");
  return text;
}

std::optional<double> PlanTable::number(const std::string& key, const NumberRange& range) const {
  if (!has(key)) return std::nullopt;
  const double value = finite_number(at(key), key);
  const bool too_small = range.without_least ? value <= range.least : value < range.least;
  if (too_small || value > range.most) {
    const std::string low =
        (range.without_least ? "more than " : "at least ") + shortest(range.least);
    const std::string high =
        too_small && range.most >= kLargestNumber ? "" : " and at most " + shortest(range.most);
    fail(at(key), "expected " + low + high + " for '" + full(key) + "', found " + shortest(value));
  }
  return value;
}

std::optional<bool> PlanTable::flag(const std::string& key) const {
  if (!has(key)) return std::nullopt;
  const auto* value = at(key).as_boolean();
  if (value == nullptr) {
    fail(at(key), "expected true or false for '" + full(key) + "', found " + kind_words(at(key)));
  }
  return value->get();
}

Unit PlanTable::unit(const std::string& key, const std::vector<std::string>& known,
                     Unit otherwise) const {
  const auto word = text(key);
  if (!word) return otherwise;
  for (const Unit candidate : {Unit::Auto, Unit::Mm, Unit::Cm, Unit::M, Unit::Inch}) {
    const bool allowed = std::find(known.begin(), known.end(), *word) != known.end();
    if (allowed && *word == unit_name(candidate)) return candidate;
  }
  std::string choices;
  for (const std::string& choice : known)
    choices += (choices.empty() ? "'" : ", '") + choice + "'";
  fail(at(key), "expected one of " + choices + " for '" + key + "', found '" + printable(*word) +
                    "'" + did_you_mean(*word, known));
}

std::optional<std::vector<std::string>> PlanTable::texts(const std::string& key) const {
  if (!has(key)) return std::nullopt;
  const toml::array* array = at(key).as_array();
  if (array == nullptr) {
    fail(at(key),
         "expected an array of texts for '" + full(key) + "', found " + kind_words(at(key)));
  }
  std::vector<std::string> words;
  for (const toml::node& node : *array) {
    if (node.as_string() == nullptr) {
      fail(node, "expected text in '" + full(key) + "', found " + kind_words(node));
    }
    words.push_back(text_of(node, key));
  }
  return words;
}

std::optional<std::vector<double>> PlanTable::numbers(const std::string& key,
                                                      std::size_t count) const {
  if (!has(key)) return std::nullopt;
  return finite_numbers(at(key), key, count);
}

const toml::array* PlanTable::pair(const std::string& key) const {
  if (!has(key)) return nullptr;
  const toml::array* array = at(key).as_array();
  if (array == nullptr || array->size() != 2) {
    fail(at(key),
         "expected an array of two entries for '" + full(key) + "', found " +
             (array == nullptr ? kind_words(at(key)) : std::to_string(array->size()) + " entries"));
  }
  return array;
}

const toml::table* PlanTable::table(const std::string& key) const {
  if (!has(key)) return nullptr;
  const toml::table* value = at(key).as_table();
  if (value == nullptr) {
    fail(at(key), "expected a table [" + full(key) + "], found " + kind_words(at(key)));
  }
  return value;
}

std::vector<const toml::table*> PlanTable::tables(const std::string& key) const {
  std::vector<const toml::table*> found;
  if (!has(key)) return found;
  const toml::array* array = at(key).as_array();
  if (array == nullptr) {
    fail(at(key), "expected tables [[" + full(key) + "]], found " + kind_words(at(key)),
         "Write [[" + full(key) + "]] with two brackets, once for each");
  }
  for (const toml::node& node : *array) {
    if (node.as_table() == nullptr) {
      fail(node, "expected tables [[" + full(key) + "]], found " + kind_words(node));
    }
    found.push_back(node.as_table());
  }
  return found;
}

void PlanTable::need(const std::string& key, const std::string& what) const {
  if (has(key)) return;
  fail(*table_, "expected '" + full(key) + "' (" + what + "), found none");
}

double PlanTable::finite_number(const toml::node& node, const std::string& key) const {
  if (!node.is_number()) {
    fail(node, "expected a number for '" + full(key) + "', found " + kind_words(node));
  }
  const double value = node.is_integer() ? static_cast<double>(node.as_integer()->get())
                                         : node.as_floating_point()->get();
  if (!std::isfinite(value)) {
    fail(node, "expected a finite number for '" + full(key) + "', found " + shortest(value));
  }
  if (std::abs(value) > kLargestNumber) {
    fail(node, "expected a number of at most " + shortest(kLargestNumber) + " for '" + full(key) +
                   "', found " + shortest(value));
  }
  return value;
}

std::vector<double> PlanTable::finite_numbers(const toml::node& node, const std::string& key,
                                              std::size_t count) const {
  const toml::array* array = node.as_array();
  if (array == nullptr || array->size() != count) {
    fail(node,
         "expected an array of " + std::to_string(count) + " numbers for '" + full(key) +
             "', found " +
             (array == nullptr ? kind_words(node) : std::to_string(array->size()) + " entries"));
  }
  std::vector<double> values;
  for (const toml::node& one : *array)
    values.push_back(finite_number(one, key));
  return values;
}

void PlanTable::fail(const toml::node& node, const std::string& problem,
                     const std::string& next) const {
  throw Error(ErrorKind::Input, place_words(file_, node.source()), problem,
              next.empty() ? "Mend this place of the plan; the README lists its keys" : next);
}

void PlanTable::fail_name_taken(const std::string& by, const std::string& next) const {
  fail(at("name"),
       "expected a name of its own, found '" + printable(*text("name")) + "', which a " + by +
           " has already",
       next);
}

const toml::node& PlanTable::at(const std::string& key) const {
  const toml::node* node = table_->get(key);
  return node == nullptr ? *table_ : *node;
}

std::string PlanTable::full(const std::string& key) const {
  return path_.empty() ? key : path_ + "." + key;
}

}  // namespace trammel::read
