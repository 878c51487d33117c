#pragma once

/// Values of one TOML table, taken by key with their type and range checked.

#include <toml++/toml.h>
#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "trammel/model/plan.hpp"

namespace trammel::read {

/// No length, place or count of a plan is larger: a thousand million metres.
inline constexpr double kLargestNumber = 1e12;

/// What a number may be.
struct NumberRange {
  double least = 0.0;
  double most = kLargestNumber;
  bool without_least = false;  ///< `least` itself is not allowed
};

inline constexpr NumberRange kNotNegative{};
inline constexpr NumberRange kPositive{0.0, kLargestNumber, true};

class PlanTable {
 public:
  /// @param file  for messages
  /// @param path  of the table, "band" or "zone 2"; empty for the plan itself
  /// @throws Error Input for a key that is not among `known`
  PlanTable(const toml::table& table, std::string file, std::string path,
            const std::vector<std::string>& known);

  [[nodiscard]] bool has(const std::string& key) const { return table_->contains(key); }

  /// Each throws Error Input with "file:line:column" when the value is there but of another kind.
  [[nodiscard]] std::optional<std::string> text(const std::string& key) const;
  [[nodiscard]] std::optional<double> number(const std::string& key,
                                             const NumberRange& range) const;
  [[nodiscard]] std::optional<bool> flag(const std::string& key) const;
  /// A unit by its name, one of `known`; `otherwise` when it is absent.
  [[nodiscard]] Unit unit(const std::string& key, const std::vector<std::string>& known,
                          Unit otherwise) const;
  /// An array of texts.
  [[nodiscard]] std::optional<std::vector<std::string>> texts(const std::string& key) const;
  /// An array of exactly `count` finite numbers.
  [[nodiscard]] std::optional<std::vector<double>> numbers(const std::string& key,
                                                           std::size_t count) const;
  /// An array of exactly two entries.
  [[nodiscard]] const toml::array* pair(const std::string& key) const;
  [[nodiscard]] const toml::table* table(const std::string& key) const;
  /// The tables of [[key]]; none when it is absent.
  [[nodiscard]] std::vector<const toml::table*> tables(const std::string& key) const;

  /// Throws where the table itself stands, when the key is missing.
  void need(const std::string& key, const std::string& what) const;

  [[nodiscard]] double finite_number(const toml::node& node, const std::string& key) const;
  [[nodiscard]] std::vector<double> finite_numbers(const toml::node& node, const std::string& key,
                                                   std::size_t count) const;
  [[noreturn]] void fail(const toml::node& node, const std::string& problem,
                         const std::string& next = {}) const;
  /// The value of `name` is that of another thing of the plan.
  [[noreturn]] void fail_name_taken(const std::string& by, const std::string& next) const;
  /// Where the value of `key` stands, or the table when there is none.
  [[nodiscard]] const toml::node& at(const std::string& key) const;

 private:
  /// Of a node that is text, short enough to be shown.
  [[nodiscard]] std::string text_of(const toml::node& node, const std::string& key) const;
  [[nodiscard]] std::string full(const std::string& key) const;

  const toml::table* table_;
  std::string file_, path_;
};

/// "file:line:column" of a TOML place; "file" when it has none.
[[nodiscard]] std::string place_words(const std::string& file, const toml::source_region& source);

}  // namespace trammel::read
