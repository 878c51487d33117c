/// A libFuzzer target for one reader (TRAMMEL_FUZZ_READER): besides what the sanitizers see, it
/// stops on memory beyond 20 times the file and on more than a second a kB.

#include <sanitizer/allocator_interface.h>

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>
#include <string_view>

#include "readers.hpp"

namespace {

/// Beside what grows with the file: the message of an error, the blocks that faces are kept in.
constexpr long kFixedBytes = 128L * 1024;
constexpr long kBytesAByte = 20;
constexpr double kSecondsAKilobyte = 1.0;

const std::string kReader = TRAMMEL_FUZZ_READER;
std::atomic<long> live{0}, peak{0};

void on_malloc(const volatile void*, std::size_t size) {
  const long now = live.fetch_add(static_cast<long>(size)) + static_cast<long>(size);
  long highest = peak.load();
  while (now > highest && !peak.compare_exchange_weak(highest, now)) {
  }
}

void on_free(const volatile void* pointer) {
  if (pointer == nullptr) return;
  live.fetch_sub(static_cast<long>(__sanitizer_get_allocated_size(const_cast<void*>(pointer))));
}

/// A mesh scan becomes up to 2 million points whatever its file's size (scan_from_mesh.hpp), and a
/// TOML tree takes what its library takes: the size of a plan is limited instead.
bool memory_goes_with_the_file() {
  return kReader != "scan" && kReader != "plan";
}

double processor_seconds() {
  return static_cast<double>(std::clock()) / static_cast<double>(CLOCKS_PER_SEC);
}

}  // namespace

extern "C" int LLVMFuzzerInitialize(int*, char***) {
  if (__sanitizer_install_malloc_and_free_hooks(on_malloc, on_free) == 0) std::abort();
  return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const long before = live.load();
  peak.store(before);
  const double started = processor_seconds();
  trammel::test::read_with(kReader, {reinterpret_cast<const char*>(data), size});
  const double seconds = processor_seconds() - started;
  const long bytes = peak.load() - before;
  if (memory_goes_with_the_file() && bytes > kFixedBytes + kBytesAByte * static_cast<long>(size)) {
    std::fprintf(stderr, "fuzz: %ld bytes of memory for a file of %zu\n", bytes, size);
    std::abort();
  }
  if (seconds > kSecondsAKilobyte * (1.0 + static_cast<double>(size) / 1000.0)) {
    std::fprintf(stderr, "fuzz: %.1f s for a file of %zu bytes\n", seconds, size);
    std::abort();
  }
  return 0;
}
