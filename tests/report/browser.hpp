#pragma once

/// A headless Chromium driven over its DevTools pipe, for tests of sheet.html.

#include <sys/types.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace trammel::test {

class Browser {
 public:
  /// False where no chromium is installed: tests then skip.
  [[nodiscard]] static bool is_there();

  explicit Browser(const std::vector<std::string>& more_flags = {});
  ~Browser();
  Browser(const Browser&) = delete;
  Browser& operator=(const Browser&) = delete;

  /// Loads a file and waits until it has loaded.
  void open(const std::filesystem::path& file);
  void resize(int width, int height, bool phone = false);
  void prefer(const std::string& media, const std::string& scheme);
  /// The value of an expression; throws std::runtime_error with the exception's text.
  nlohmann::json value_of(const std::string& expression);
  /// Moves the pointer, presses and lets go, in CSS pixels of the window.
  void move_to(double x, double y);
  void click(double x, double y);
  void press(const std::string& key);
  void save_picture(const std::filesystem::path& png);

  /// Errors and warnings of the console, refused requests and uncaught exceptions since `open`.
  [[nodiscard]] const std::vector<std::string>& complaints() const { return complaints_; }
  /// Addresses that were asked for since `open`, the page's own left out.
  [[nodiscard]] const std::vector<std::string>& requests() const { return requests_; }

 private:
  nlohmann::json call(const std::string& method,
                      nlohmann::json parameters = nlohmann::json::object());
  [[nodiscard]] nlohmann::json next_message();
  void note(const nlohmann::json& event);
  void mouse(const std::string& type, double x, double y, int buttons);

  pid_t process_ = -1;
  int to_ = -1, from_ = -1;
  int last_id_ = 0;
  bool loaded_ = false;
  std::string session_, pending_, address_;
  std::filesystem::path profile_;
  std::vector<std::string> complaints_, requests_;
};

}  // namespace trammel::test
