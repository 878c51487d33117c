/// Reading ten million points (binary PLY, three float32 each) against what no reader can beat:
/// a plain read() of the file, and that with one memcpy of its bytes.

#include <fcntl.h>
#include <unistd.h>

#include <cstring>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "bench/bench_table.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/read/raw_geometry.hpp"
#include "trammel/read/read_files.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

constexpr std::size_t kPoints = 10000000;

std::string points_as_ply() {
  std::string bytes = "ply\nformat binary_little_endian 1.0\nelement vertex " +
                      std::to_string(kPoints) +
                      "\nproperty float x\nproperty float y\nproperty float z\nend_header\n";
  std::vector<float> values(3 * kPoints);
  Rng rng(3);
  for (float& value : values)
    value = static_cast<float>(rng.uniform(-100.0, 100.0));
  bytes.append(reinterpret_cast<const char*>(values.data()), values.size() * sizeof(float));
  return bytes;
}

void read_plainly(const fs::path& file, std::vector<char>& buffer) {
  const int descriptor = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
  std::size_t done = 0;
  while (done < buffer.size()) {
    const ssize_t got = ::read(descriptor, buffer.data() + done, buffer.size() - done);
    TRAMMEL_CHECK(got > 0, "the bench's own file can be read");
    done += static_cast<std::size_t>(got);
  }
  ::close(descriptor);
}

double row(const std::string& name, int threads, const std::function<void()>& work) {
  const std::vector<double> times = bench::times_ms(work);
  bench::print_row(name, kPoints, threads, times);
  return quantile(times, 0.5);
}

void run(const fs::path& file, int threads) {
  const std::string name = file.filename().string();
  const std::size_t size = fs::file_size(file);
  // Memory that is there already is the fairest to the peers; new memory, zeroed and paged in, is
  // what a program that reads one scan has.
  std::vector<char> buffer(size), copy(size);
  const double plain = row("read()", 1, [&] { read_plainly(file, buffer); });
  const double copied = row("read() and memcpy", 1, [&] {
    read_plainly(file, buffer);
    std::memcpy(copy.data(), buffer.data(), size);
  });
  std::vector<char>().swap(buffer);  // not to count into the memory of the rows below
  std::vector<char>().swap(copy);
  (void)row("read() into new memory", 1, [&] {
    std::vector<char> fresh(size);
    read_plainly(file, fresh);
  });
  const double parsed = row("trammel parse_ply from the file", threads, [&] {
    const FileBytes bytes(file);
    const RawGeometry geometry = parse_ply(bytes.view(), name);
    TRAMMEL_CHECK(geometry.points.cols() == Eigen::Index{kPoints}, "every point is read");
  });
  const double scanned = row("trammel read_scan (with SHA-256)", threads, [&] {
    const RawScan scan = read_scan(file);
    TRAMMEL_CHECK(scan.scan.size() == Eigen::Index{kPoints}, "every point is read");
  });
  std::cout << "# parse_ply / read(): " << fixed(parsed / plain, 2)
            << ", parse_ply / read() and memcpy: " << fixed(parsed / copied, 2)
            << ", read_scan / read(): " << fixed(scanned / plain, 2) << std::endl;
}

}  // namespace

int main() {
  const int threads = bench::machine_threads();
  const ThreadLimit limit(threads);
  std::string folder = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 73;
  const fs::path file = fs::path(folder) / "points.ply";
  write_file_whole(file, points_as_ply());
  bench::print_header();
  run(file, threads);
  fs::remove_all(folder);
}
