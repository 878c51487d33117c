/// What a machine can do to a run: full disks, no permission, no memory, killed, twice at once,
/// files that change under it. No half sheet, no lost old sheet, no lie in the exit code.

#include <gtest/gtest.h>
#include <signal.h>
#include <sys/mount.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <map>
#include <string>
#include <thread>
#include <vector>

#include "run_program.hpp"
#include "support/long_run.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Contents = std::map<std::string, std::string>;

/// All files below a folder, hidden ones too, with their bytes.
Contents contents_of(const fs::path& folder) {
  Contents all;
  if (!fs::exists(folder)) return all;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (!entry.is_regular_file()) continue;
    all[fs::relative(entry.path(), folder).string()] = text_of(entry.path());
  }
  return all;
}

/// A small file system of its own that goes with the test.
class Mounted {
 public:
  Mounted(fs::path at, const std::string& options) : at_(std::move(at)) {
    fs::create_directory(at_);
    if (::mount("none", at_.c_str(), "tmpfs", 0, options.c_str()) != 0) why_ = std::strerror(errno);
  }
  ~Mounted() {
    if (works()) ::umount2(at_.c_str(), MNT_DETACH);
  }
  Mounted(const Mounted&) = delete;
  Mounted& operator=(const Mounted&) = delete;
  [[nodiscard]] bool works() const { return why_.empty(); }
  [[nodiscard]] const std::string& why() const { return why_; }
  [[nodiscard]] bool lock() const {
    return ::mount("none", at_.c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr) == 0;
  }

 private:
  fs::path at_;
  std::string why_;
};

class Faults : public Cli {
 protected:
  void SetUp() override {
    Cli::SetUp();
    // Quick to check, and with an answer: a bar, and points on it.
    (void)write("part.obj", bar_obj());
    (void)write("part.xyz", points_of_the_bar());
    (void)write("as-scanned.toml", "design = \"part.obj\"\n[align]\nmethod = \"as-scanned\"\n");
    std::string other = text_of(folder_ / "as-scanned.toml") + "[band]\nover = 0.1\nunder = 0.1\n";
    (void)write("other.toml", "title = \"another plan\"\n" + other);
  }

  /// The arguments of a check that is quick.
  [[nodiscard]] static std::string check(const std::string& plan, const std::string& out) {
    return "check " + plan + " --quiet --scan part.xyz --out " + out;
  }

  /// Starts the program and does not wait. Its answers are lost.
  [[nodiscard]] pid_t start(const std::string& arguments) const {
    const std::string command = "cd '" + folder_.string() +
                                "' && SOURCE_DATE_EPOCH=0 exec '" TRAMMEL_PROGRAM "' " + arguments +
                                " >out.txt 2>err.txt </dev/null";
    const pid_t child = ::fork();
    if (child == 0) {
      ::execl("/bin/sh", "sh", "-c", command.c_str(), static_cast<char*>(nullptr));
      ::_exit(127);
    }
    return child;
  }
  static int code_of(pid_t child) {
    int status = 0;
    if (::waitpid(child, &status, 0) != child) return -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

  /// What a plan's sheet holds; the folder is gone again.
  [[nodiscard]] Contents sheet_of(const std::string& plan) const {
    EXPECT_LE(trammel(check(plan, "sheet")).code, 2);
    Contents contents = contents_of(folder_ / "sheet");
    fs::remove_all(folder_ / "sheet");
    return contents;
  }

  void expect_nothing_hidden() const {
    for (const auto& entry : fs::recursive_directory_iterator(folder_))
      EXPECT_NE(entry.path().filename().string().front(), '.') << entry.path();
  }
};

TEST_F(Faults, LinkToAFolderIsFollowedAndStaysALink) {
  fs::create_directories(folder_ / "elsewhere/deep");
  fs::create_directory_symlink("elsewhere/deep", folder_ / "link");
  for (int run = 0; run < 2; ++run) {
    EXPECT_LE(trammel(check("as-scanned.toml", "link")).code, 2);
    EXPECT_TRUE(fs::is_symlink(folder_ / "link"));
    EXPECT_TRUE(fs::exists(folder_ / "elsewhere/deep/result.json"));
  }
  fs::create_symlink("nowhere", folder_ / "dangling");
  expect_error(check("as-scanned.toml", "dangling"), 73, "a link that leads nowhere");
}

TEST_F(Faults, LinkInAnOldSheetIsReplacedAndNeverWrittenThrough) {
  (void)write("precious", "mine");
  fs::create_directory(folder_ / "sheet");
  fs::create_symlink("../precious", folder_ / "sheet/result.json");
  EXPECT_LE(trammel(check("as-scanned.toml", "sheet")).code, 2);
  EXPECT_EQ(text_of(folder_ / "precious"), "mine");
  EXPECT_FALSE(fs::is_symlink(folder_ / "sheet/result.json"));
}

TEST_F(Faults, FolderThatOneStandsInStaysTheSame) {
  fs::create_directory(folder_ / "here");
  const std::string from_within =
      "'" TRAMMEL_PROGRAM "' check ../as-scanned.toml --quiet --scan ../part.xyz --out .";
  for (int run = 0; run < 2; ++run) {
    const std::string command = "cd '" + (folder_ / "here").string() + "' && " + from_within +
                                " >/dev/null; test -e result.json";
    EXPECT_EQ(std::system(command.c_str()), 0);
  }
  expect_nothing_hidden();
}

TEST_F(Faults, PlaceWithoutPermissionIsExit73) {
  fs::create_directories(folder_ / "locked/sheet");
  (void)write("locked/sheet/result.json", "old");
  if (::geteuid() != 0) {
    fs::permissions(folder_ / "locked", fs::perms::owner_read | fs::perms::owner_exec);
    expect_error(check("as-scanned.toml", "locked/sheet"), 73, "locked/sheet");
    fs::permissions(folder_ / "locked", fs::perms::owner_all);
    EXPECT_EQ(text_of(folder_ / "locked/sheet/result.json"), "old");
    return;
  }
  // Nothing is forbidden to root; a file system that takes no writing is.
  const Mounted disk(folder_ / "disk", "size=24m");
  if (!disk.works()) GTEST_SKIP() << "root, and mounting is not allowed here: " << disk.why();
  ASSERT_LE(trammel(check("as-scanned.toml", "disk/sheet")).code, 2);
  const Contents old = contents_of(folder_ / "disk/sheet");
  ASSERT_TRUE(disk.lock());
  expect_error(check("other.toml", "disk/sheet"), 73, "disk/sheet");
  EXPECT_EQ(contents_of(folder_ / "disk/sheet"), old);
}

TEST_F(Faults, FullDiskLeavesTheOldSheetAndNothingElse) {
  const Mounted disk(folder_ / "disk", "size=24m");
  if (!disk.works()) GTEST_SKIP() << "mounting is not allowed here: " << disk.why();
  ASSERT_LE(trammel(check("as-scanned.toml", "disk/sheet")).code, 2);
  const Contents old = contents_of(folder_ / "disk");
  std::uintmax_t sheet_bytes = 0;
  for (const auto& [name, bytes] : old)
    sheet_bytes += bytes.size();
  // Room for every share of a second sheet but a whole one.
  for (const double share : test::some_of<double>({0.0, 0.6, 0.1, 0.3, 0.9}, 2)) {
    const auto room = static_cast<std::uintmax_t>(share * static_cast<double>(sheet_bytes));
    const std::uintmax_t free_bytes = fs::space(folder_ / "disk").available;
    ASSERT_GT(free_bytes, room);
    (void)write("disk/filler", std::string(free_bytes - room, 'x'));
    expect_error(check("other.toml", "disk/sheet"), 73, "No space left");
    fs::remove(folder_ / "disk/filler");
    EXPECT_EQ(contents_of(folder_ / "disk"), old) << share;
  }
  EXPECT_LE(trammel(check("other.toml", "disk/sheet")).code, 2);
  EXPECT_NE(contents_of(folder_ / "disk"), old);
}

TEST_F(Faults, DiskOfItsOwnIsFilledFromWithin) {
  const Mounted disk(folder_ / "disk", "size=24m");
  if (!disk.works()) GTEST_SKIP() << "mounting is not allowed here: " << disk.why();
  for (int run = 0; run < 2; ++run)
    EXPECT_LE(trammel(check("as-scanned.toml", "disk")).code, 2) << text_of(folder_ / "err.txt");
  EXPECT_TRUE(fs::exists(folder_ / "disk/result.json"));
  expect_nothing_hidden();
}

TEST_F(Faults, AnswerThatNobodyTakesIsExit73) {
  for (const std::string& arguments : {std::string("look part.obj"), check("other.toml", "sheet"),
                                       check("other.toml", "sheet") + " --json -"}) {
    const std::string command = "cd '" + folder_.string() + "' && '" TRAMMEL_PROGRAM "' " +
                                arguments + " >/dev/full 2>err.txt";
    EXPECT_EQ(WEXITSTATUS(std::system(command.c_str())), 73) << arguments;
    EXPECT_NE(text_of(folder_ / "err.txt").find("stdout: cannot write"), std::string::npos);
  }
}

/// How often a run is killed: TRAMMEL_KILLS, or 3, in a long run 6.
int kills() {
  const char* const said = std::getenv("TRAMMEL_KILLS");
  return said == nullptr ? test::rounds(3, 6) : std::max(1, std::atoi(said));
}

TEST_F(Faults, KilledAtAnyMomentLeavesTheOldSheetOrTheNewOne) {
  const Contents fresh = sheet_of("other.toml");
  const auto started = std::chrono::steady_clock::now();
  ASSERT_LE(trammel(check("as-scanned.toml", "sheet")).code, 2);
  const std::chrono::duration<double> whole = std::chrono::steady_clock::now() - started;
  Contents old = contents_of(folder_ / "sheet");
  ASSERT_GT(old.size(), 8U);
  Rng rng(9);
  int before = 0, after = 0;
  for (int k = 0; k < kills(); ++k) {
    (void)write("sheet/notes.txt", "mine");
    old["notes.txt"] = "mine";
    // Mostly in the last third, where the files are written.
    const double from = k % 4 == 0 ? 0.0 : 0.6;
    const std::chrono::duration<double> wait = rng.uniform(from, 1.1) * whole;
    const pid_t child = start(check("other.toml", "sheet"));
    std::this_thread::sleep_for(wait);
    ::kill(child, SIGKILL);
    const int code = code_of(child);
    Contents left = contents_of(folder_ / "sheet");
    EXPECT_EQ(left["notes.txt"], "mine");
    const bool is_old = left == old;
    if (!is_old) {
      left.erase("notes.txt");
      EXPECT_EQ(left, fresh) << "killed after " << wait.count() << " s";
    }
    (is_old ? before : after) += 1;
    EXPECT_FALSE(is_old && code >= 0) << "said it was done and was not";
    if (!is_old) (void)trammel(check("as-scanned.toml", "sheet"));
    old = contents_of(folder_ / "sheet");
  }
  RecordProperty("killed_before", before);
  RecordProperty("killed_after", after);
  std::printf("%d runs killed: %d left the old sheet, %d the new one\n", kills(), before, after);
  (void)trammel(check("as-scanned.toml", "sheet"));
  expect_nothing_hidden();  // what killed runs left went with the next one
}

/// As Ctrl-C, a closed terminal and `kill` do it: nothing of the run is left, not even till the
/// next one, and it ends by that signal.
TEST_F(Faults, StoppedRunTakesAwayWhatItHasHalfWritten) {
  const Contents fresh = sheet_of("other.toml");
  const auto started = std::chrono::steady_clock::now();
  ASSERT_LE(trammel(check("as-scanned.toml", "sheet")).code, 2);
  const std::chrono::duration<double> whole = std::chrono::steady_clock::now() - started;
  const Contents old = contents_of(folder_ / "sheet");
  const std::array<int, 3> stops = {SIGINT, SIGTERM, SIGHUP};
  for (std::size_t k = 0; k < stops.size(); ++k) {
    const pid_t child = start(check("other.toml", "sheet"));
    std::this_thread::sleep_for((0.7 + 0.1 * static_cast<double>(k)) * whole);
    ::kill(child, stops[k]);
    const int code = code_of(child);
    expect_nothing_hidden();
    const Contents left = contents_of(folder_ / "sheet");
    EXPECT_TRUE(left == old || left == fresh);
    EXPECT_FALSE(left == old && code >= 0) << "said it was done and was not";
    if (left != old) (void)trammel(check("as-scanned.toml", "sheet"));
  }
}

TEST_F(Faults, TwoRunsIntoOneFolderLeaveTheSheetOfOne) {
  const Contents first = sheet_of("as-scanned.toml"), second = sheet_of("other.toml");
  for (int round = 0; round < test::rounds(1, 4); ++round) {
    const pid_t one = start(check("as-scanned.toml", "sheet"));
    const pid_t other = start(check("other.toml", "sheet"));
    const int code = code_of(one), other_code = code_of(other);
    EXPECT_TRUE(code >= 0 && code <= 2) << code << text_of(folder_ / "err.txt");
    EXPECT_TRUE(other_code >= 0 && other_code <= 2) << other_code << text_of(folder_ / "err.txt");
    const Contents left = contents_of(folder_ / "sheet");
    EXPECT_TRUE(left == first || left == second) << round;
    expect_nothing_hidden();
  }
}

TEST_F(Faults, TooLittleMemoryIsOneErrorAndNoSheet) {
  int refused = 0;
  bool enough = false;
  for (int megabytes = 100; megabytes <= 3000 && !enough; megabytes += 50) {
    fs::remove_all(folder_ / "sheet");
    const std::string command = "cd '" + folder_.string() + "' && ulimit -v " +
                                std::to_string(1024 * megabytes) + " && '" TRAMMEL_PROGRAM "' " +
                                check("as-scanned.toml", "sheet") +
                                " --threads 2 >out.txt 2>err.txt";
    const int status = std::system(command.c_str());
    const std::string said = text_of(folder_ / "err.txt");
    if (said.find("error while loading shared libraries") != said.npos) continue;  // never began
    ASSERT_TRUE(WIFEXITED(status)) << megabytes;
    const int code = WEXITSTATUS(status);
    enough = code <= 2;
    EXPECT_EQ(fs::exists(folder_ / "sheet/result.json"), enough) << megabytes << " MB: " << said;
    if (enough) break;
    ++refused;
    EXPECT_EQ(code, 70) << megabytes << " MB: " << said;
    EXPECT_NE(said.find("not enough memory"), std::string::npos) << megabytes << " MB: " << said;
    EXPECT_EQ(std::count(said.begin(), said.end(), '\n'), 1) << said;
    EXPECT_FALSE(fs::exists(folder_ / "sheet"));
    expect_nothing_hidden();
  }
  EXPECT_GT(refused, 0);
  EXPECT_TRUE(enough);
}

/// Main's stack that grows late is SIGSEGV, not std::bad_alloc, where ulimit -v is reached.
TEST_F(Faults, StackIsTakenBeforeMemoryCanRunOut) {
  const pid_t child = start(check("as-scanned.toml", "sheet") + " --threads 2");
  const std::string status = "/proc/" + std::to_string(child) + "/status";
  long most = 0;
  for (int k = 0; k < 5000 && most < 1024; ++k) {
    const std::string said = text_of(status);
    const std::size_t at = said.find("VmStk:");
    if (at == std::string::npos) break;  // it ended
    most = std::max(most, std::stol(said.substr(at + 6)));
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  EXPECT_GE(most, 1024) << "KiB";
  EXPECT_LE(code_of(child), 2);
}

/// Runs `look` on a large scan and does something to the file once the program has it open.
template <typename Change>
std::pair<int, std::string> changed_while_read(const fs::path& scan, pid_t child,
                                               const fs::path& said, const Change& change) {
  const std::string maps = "/proc/" + std::to_string(child) + "/maps";
  for (int k = 0; k < 2000 && text_of(maps).find(scan.string()) == std::string::npos; ++k)
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  change();
  int status = 0;
  ::waitpid(child, &status, 0);
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text_of(said)};
}

TEST_F(Faults, InputThatChangesWhileItIsReadIsNotBelieved) {
  std::string lines;
  for (int i = 0; i < 1'000'000; ++i)
    lines += std::to_string(i % 1000) + ".125 " + std::to_string(i / 1000) + ".25 " +
             std::to_string(i % 7) + ".5\n";
  const fs::path scan = write("scan.xyz", lines);
  const auto cut = changed_while_read(scan, start("look scan.xyz"), folder_ / "err.txt",
                                      [&] { fs::resize_file(scan, 4096); });
  EXPECT_EQ(cut.first, 65) << cut.second;
  EXPECT_NE(cut.second.find("while it was read"), std::string::npos) << cut.second;
  (void)write("scan.xyz", lines);
  const auto grown = changed_while_read(scan, start("look scan.xyz"), folder_ / "err.txt",
                                        [&] { std::ofstream(scan, std::ios::app) << "1 2 3\n"; });
  EXPECT_EQ(grown.first, 65) << grown.second;
  EXPECT_NE(grown.second.find("changed while it was read"), std::string::npos) << grown.second;
  EXPECT_EQ(trammel("look scan.xyz").code, 0);
}

}  // namespace
}  // namespace trammel
