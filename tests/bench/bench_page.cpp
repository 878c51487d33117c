/// How smoothly the page of a check against a large design turns: in headless Chromium, which has
/// no graphics card and draws by software.
///
/// bench_page [POINTS [TRIANGLES]]: without numbers 1 million points against 2.25 million
/// triangles.

#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <string>

#include "bench/bench_table.hpp"
#include "bench/check_stages.hpp"
#include "report/browser.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

constexpr std::size_t kPoints = 1'000'000;
constexpr long kTriangles = 2'250'000;

/// Turns the part round once in 60 steps, each drawn when the browser is ready for it.
const char* const kTurnOnce = R"(new Promise((done) => {
  const times = [];
  let step = 0, last = 0;
  const next = (now) => {
    if (step > 0) times.push(now - last);
    last = now;
    if (++step > 60) { done(times); return; }
    const angle = step * Math.PI / 30;
    trammel.look([Math.cos(angle), Math.sin(angle), 0.5]);
    const gl = document.getElementById('picture').getContext('webgl2')
        || document.getElementById('picture').getContext('webgl');
    requestAnimationFrame((later) => {
      gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
      next(performance.now());
    });
  };
  next(performance.now());
}))";

void bench_page(const fs::path& page) {
  const auto bytes = static_cast<double>(fs::file_size(page));
  test::Browser browser;
  browser.resize(1280, 900);
  bench::Stopwatch watch;
  browser.open(page);
  const bool ready = browser.value_of("Boolean(window.trammel && trammel.ready)").get<bool>();
  const double opened_ms = watch.lap_ms();
  if (!ready) {
    std::cerr << "the page has no picture that turns\n";
    std::exit(1);
  }
  const auto cells = browser.value_of("trammel.cells").get<std::size_t>();
  const auto samples = browser.value_of("trammel.samples").get<std::size_t>();
  std::cerr << "a page of " << bytes / 1e6 << " MB shows " << cells << " triangles and " << samples
            << " points; its picture is "
            << browser.value_of(
                   "(() => { const p = document.getElementById('picture'); return "
                   "p.width + ' x ' + p.height; })()")
            << "\n";
  bench::print_row("open the page", cells, bench::machine_threads(), {opened_ms}, 0.0);
  bench::print_row("a step of turning", cells, bench::machine_threads(),
                   browser.value_of(kTurnOnce).get<std::vector<double>>(), 0.0);
}

}  // namespace

int main(int count, char** given) {
  if (!test::Browser::is_there()) {
    std::cerr << "chromium is not installed\n";
    return 69;
  }
  std::string pattern = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) return 73;
  const fs::path folder = pattern;
  const std::size_t points = count > 1 ? std::strtoul(given[1], nullptr, 10) : kPoints;
  bench::write_inputs(folder, points, count > 2 ? std::strtol(given[2], nullptr, 10) : kTriangles);
  bench::StageTimes times;
  bench::check_once(folder, times);
  bench::print_header();
  bench_page(folder / "sheet" / "sheet.html");
  fs::remove_all(folder);
}
