#pragma once

/// Where open data lies, and the reason to skip where it does not.

#include <filesystem>
#include <string>

namespace trammel::test {

/// A file of CGAL's data sets from Debian's package libcgal-demo ("meshes/anchor.off"), unpacked
/// into the build folder on first use. The path may not exist: see `missing`.
[[nodiscard]] std::filesystem::path debian_data(const std::string& file);

/// A file of the folder shared/data beside the project ("scans/box.obj"). May not exist.
[[nodiscard]] std::filesystem::path shared_data(const std::string& file);

/// What to install or fetch where the path does not exist; empty when it does.
[[nodiscard]] std::string missing(const std::filesystem::path& path);

}  // namespace trammel::test

/// Skips the running test, naming the path, where a file is not there.
#define TRAMMEL_NEEDS(path)                                                       \
  do {                                                                            \
    if (const std::string why_ = ::trammel::test::missing(path); !why_.empty()) { \
      GTEST_SKIP() << why_;                                                       \
    }                                                                             \
  } while (false)
