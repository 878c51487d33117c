#include "trammel/base/unfinished.hpp"

#include <gtest/gtest.h>
#include <signal.h>
#include <unistd.h>

#include <fstream>
#include <string>
#include <vector>

#include "base/own_folder.hpp"
#include "trammel/base/staged_folder.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

class UnfinishedWork : public test::OwnFolder {};

void put(const fs::path& file) {
  std::ofstream(file) << "half";
}

[[noreturn]] void stopped_half_way(const fs::path& folder) {
  put(folder / "done");
  { const Unfinished no_more(folder / "done"); }
  fs::create_directories(folder / "half/deep");
  put(folder / "half/deep/file");
  const Unfinished half(folder / "half"), never_made(folder / "never");
  const StagedFolder staged(folder / "sheet");
  put(staged.path() / "result.json");
  remove_unfinished();
  ::_exit(0);
}

[[noreturn]] void published_too_late(const fs::path& folder) {
  StagedFolder staged(folder / "sheet");
  remove_unfinished();
  ::alarm(1);  // waits for ever: the alarm ends it
  staged.publish();
  ::_exit(0);
}

/// Each in a process of its own: after `remove_unfinished` it can only end.
TEST_F(UnfinishedWork, GoesWhenARunIsStoppedAndWhatIsDoneStays) {
  EXPECT_EXIT(stopped_half_way(folder_), testing::ExitedWithCode(0), "");
  EXPECT_EQ(names(), std::vector<std::string>{"done"});
}

TEST_F(UnfinishedWork, IsNotFinishedAnyMoreOnceItWasRemoved) {
  EXPECT_EXIT(published_too_late(folder_), testing::KilledBySignal(SIGALRM), "");
  EXPECT_TRUE(names().empty());
}

}  // namespace
}  // namespace trammel
