#include "report/browser.hpp"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <fstream>
#include <stdexcept>

namespace trammel::test {

namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

constexpr int kPatienceMs = 40'000;  ///< for one answer, on a busy machine

std::string decoded(const std::string& base64) {
  std::string bytes;
  unsigned group = 0;
  int bits = 0;
  const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  for (const char c : base64) {
    const std::size_t digit = digits.find(c);
    if (digit == std::string::npos) break;
    group = group << 6U | static_cast<unsigned>(digit);
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    bytes += static_cast<char>(group >> static_cast<unsigned>(bits) & 255U);
  }
  return bytes;
}

/// Software WebGL, no network of its own, and the DevTools protocol on descriptors 3 and 4.
std::vector<std::string> arguments(const fs::path& profile, const std::vector<std::string>& more) {
  std::vector<std::string> all = {"chromium",
                                  "--headless",
                                  "--no-sandbox",
                                  "--use-gl=angle",
                                  "--use-angle=swiftshader",
                                  "--enable-unsafe-swiftshader",
                                  "--no-first-run",
                                  "--disable-background-networking",
                                  "--disable-dev-shm-usage",
                                  "--remote-debugging-pipe",
                                  "--user-data-dir=" + profile.string()};
  all.insert(all.end(), more.begin(), more.end());
  all.emplace_back("about:blank");
  return all;
}

/// In the child: pipes to descriptors 3 and 4, silence on stderr, then the browser.
[[noreturn]] void become_browser(int read_end, int write_end, std::vector<std::string> words) {
  // Out of the way first, lest one of the two pipes already lies on the other's number.
  const int in = fcntl(read_end, F_DUPFD, 20), out = fcntl(write_end, F_DUPFD, 20);
  dup2(in, 3);
  dup2(out, 4);
  const int nothing = open("/dev/null", O_RDWR);
  dup2(nothing, 1);
  dup2(nothing, 2);
  setpgid(0, 0);
  std::vector<char*> argv;
  for (std::string& word : words)
    argv.push_back(word.data());
  argv.push_back(nullptr);
  execvp(argv.front(), argv.data());
  _exit(127);
}

}  // namespace

bool Browser::is_there() {
  return std::system("command -v chromium > /dev/null 2>&1") == 0;
}

Browser::Browser(const std::vector<std::string>& more_flags) {
  std::string pattern = (fs::temp_directory_path() / "trammel-browser-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no folder for a profile");
  profile_ = pattern;
  std::array<int, 2> down{}, up{};
  if (pipe(down.data()) != 0 || pipe(up.data()) != 0) throw std::runtime_error("no pipe");
  signal(SIGPIPE, SIG_IGN);
  process_ = fork();
  if (process_ == 0) become_browser(down[0], up[1], arguments(profile_, more_flags));
  close(down[0]);
  close(up[1]);
  to_ = down[1];
  from_ = up[0];
  const Json target = call("Target.createTarget", {{"url", "about:blank"}});
  session_ = call("Target.attachToTarget", {{"targetId", target.at("targetId")}, {"flatten", true}})
                 .at("sessionId")
                 .get<std::string>();
  for (const char* part : {"Page.enable", "Runtime.enable", "Log.enable", "Network.enable"})
    call(part);
}

Browser::~Browser() {
  close(to_);
  close(from_);
  kill(-process_, SIGKILL);  // the group that was made for it, with its helpers
  waitpid(process_, nullptr, 0);
  std::error_code ignored;
  fs::remove_all(profile_, ignored);
}

Json Browser::next_message() {
  for (;;) {
    const std::size_t end = pending_.find('\0');
    if (end != std::string::npos) {
      Json message = Json::parse(pending_.substr(0, end));
      pending_.erase(0, end + 1);
      return message;
    }
    pollfd waiting{from_, POLLIN, 0};
    if (poll(&waiting, 1, kPatienceMs) <= 0) throw std::runtime_error("the browser is silent");
    std::array<char, 65536> buffer{};
    const ssize_t got = read(from_, buffer.data(), buffer.size());
    if (got <= 0) throw std::runtime_error("the browser has gone");
    pending_.append(buffer.data(), static_cast<std::size_t>(got));
  }
}

void Browser::note(const Json& event) {
  const std::string method = event.value("method", "");
  if (method == "Page.loadEventFired") loaded_ = true;
  if (method == "Runtime.exceptionThrown") complaints_.push_back(event.at("params").dump());
  if (method == "Log.entryAdded" && event.at("params").at("entry").at("level") != "info" &&
      event.at("params").at("entry").at("level") != "verbose") {
    complaints_.push_back(event.at("params").dump());
  }
  if (method == "Runtime.consoleAPICalled") {
    const std::string type = event.at("params").at("type");
    if (type == "error" || type == "warning") complaints_.push_back(event.at("params").dump());
  }
  if (method == "Network.requestWillBeSent") {
    const std::string url = event.at("params").at("request").at("url");
    if (url != address_ && url.rfind("data:", 0) != 0) requests_.push_back(url);
  }
}

Json Browser::call(const std::string& method, Json parameters) {
  const int id = ++last_id_;
  Json message = {{"id", id}, {"method", method}, {"params", std::move(parameters)}};
  if (!session_.empty()) message["sessionId"] = session_;
  const std::string text = message.dump() + '\0';
  for (std::size_t sent = 0; sent < text.size();) {
    const ssize_t now = write(to_, text.data() + sent, text.size() - sent);
    if (now <= 0) throw std::runtime_error("the browser does not listen");
    sent += static_cast<std::size_t>(now);
  }
  for (;;) {
    const Json answer = next_message();
    if (answer.value("id", 0) != id) {
      note(answer);
      continue;
    }
    if (answer.contains("error")) throw std::runtime_error(answer.at("error").dump());
    return answer.at("result");
  }
}

void Browser::open(const fs::path& file) {
  loaded_ = false;
  complaints_.clear();
  requests_.clear();
  address_ = "file://" + file.string();
  call("Page.navigate", {{"url", address_}});
  while (!loaded_)
    note(next_message());
}

void Browser::resize(int width, int height, bool phone) {
  call("Emulation.setDeviceMetricsOverride",
       {{"width", width}, {"height", height}, {"deviceScaleFactor", 1}, {"mobile", phone}});
}

void Browser::prefer(const std::string& media, const std::string& scheme) {
  call("Emulation.setEmulatedMedia",
       {{"media", media},
        {"features", Json::array({{{"name", "prefers-color-scheme"}, {"value", scheme}}})}});
}

Json Browser::value_of(const std::string& expression) {
  const Json answer =
      call("Runtime.evaluate",
           {{"expression", expression}, {"returnByValue", true}, {"awaitPromise", true}});
  if (answer.contains("exceptionDetails")) {
    throw std::runtime_error(answer.at("exceptionDetails").dump());
  }
  return answer.at("result").value("value", Json());
}

void Browser::mouse(const std::string& type, double x, double y, int buttons) {
  call("Input.dispatchMouseEvent", {{"type", type},
                                    {"x", x},
                                    {"y", y},
                                    {"button", type == "mouseMoved" ? "none" : "left"},
                                    {"buttons", buttons},
                                    {"clickCount", type == "mouseMoved" ? 0 : 1}});
}

void Browser::move_to(double x, double y) {
  mouse("mouseMoved", x, y, 0);
}

void Browser::click(double x, double y) {
  move_to(x, y);
  mouse("mousePressed", x, y, 1);
  mouse("mouseReleased", x, y, 0);
}

void Browser::press(const std::string& key) {
  Json down = {{"type", "keyDown"}, {"key", key}, {"code", key == " " ? "Space" : key}};
  Json up = down;
  up["type"] = "keyUp";
  // What a page hears is enough for a script; to move the focus and to press a button the browser
  // itself has to know the key.
  for (const auto& [name, code] : {std::pair<const char*, int>{"Tab", 9}, {" ", 32}}) {
    if (key != name) continue;
    down["windowsVirtualKeyCode"] = up["windowsVirtualKeyCode"] = code;
    if (key == " ") down["text"] = key;
  }
  call("Input.dispatchKeyEvent", down);
  call("Input.dispatchKeyEvent", up);
}

void Browser::save_picture(const fs::path& png) {
  const Json answer = call("Page.captureScreenshot", {{"format", "png"}});
  std::ofstream(png, std::ios::binary) << decoded(answer.at("data").get<std::string>());
}

}  // namespace trammel::test
