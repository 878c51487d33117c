#include "trammel/base/stage_clock.hpp"

#include <gtest/gtest.h>

#include <sstream>

namespace trammel {
namespace {

using std::chrono::milliseconds;

std::size_t times_in(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
    ++count;
  return count;
}

TEST(StageClock, WritesALineAStage) {
  std::ostringstream terminal;
  {
    StageClock clock(terminal, 80, milliseconds(60'000));
    clock.begin("aligning");
    clock.begin("comparing");
    clock.end();
    terminal << "PASS\n";
  }
  EXPECT_EQ(terminal.str(), "aligning\ncomparing\nPASS\n");
}

TEST(StageClock, TellsHowLongALongStageHasLasted) {
  std::ostringstream terminal;
  {
    StageClock clock(terminal, 80, milliseconds(5));
    clock.begin("aligning");
    std::this_thread::sleep_for(milliseconds(1900));
    clock.begin("comparing");
  }
  const std::string text = terminal.str();
  EXPECT_EQ(text.rfind("aligning\n", 0), 0U);
  EXPECT_GT(times_in(text, "\x1b[1A\raligning, 0 s\x1b[K\n"), 10U);
  EXPECT_GT(times_in(text, "\x1b[1A\raligning, 1 s\x1b[K\n"), 1U);
  EXPECT_LT(text.rfind("aligning"), text.find("comparing"));
}

TEST(StageClock, TellsHowFarTheRunIsAndHowMuchLongerItTakes) {
  std::ostringstream terminal;
  {
    StageClock clock(terminal, 80, milliseconds(5),
                     TimeLeft({{"reading", 1.0}, {"aligning", 3.0}}));
    clock.begin("reading", "trammel: ");
    std::this_thread::sleep_for(milliseconds(100));
    clock.begin("aligning", "trammel: ");
    std::this_thread::sleep_for(milliseconds(20));
  }
  const std::string text = terminal.str();
  EXPECT_EQ(times_in(text.substr(0, text.find("aligning")), "["),
            times_in(text.substr(0, text.find("aligning")), "\x1b["));
  EXPECT_GT(times_in(text, "\rtrammel: aligning, 0 s [======"), 0U) << text;
  EXPECT_GT(times_in(text, "] about 1 s left\x1b[K\n"), 0U) << text;
  // What is over has no bar.
  EXPECT_EQ(text.substr(text.rfind('\r')), "\rtrammel: aligning, 0 s\x1b[K\n");
}

TEST(StageClock, LeavesTheBarOutWhereTheLineIsTooShort) {
  std::ostringstream terminal;
  {
    StageClock clock(terminal, 30, milliseconds(2),
                     TimeLeft({{"reading", 1.0}, {"aligning", 1.0}}));
    clock.begin("reading");
    std::this_thread::sleep_for(milliseconds(20));
    clock.begin("aligning");
    std::this_thread::sleep_for(milliseconds(20));
  }
  EXPECT_GT(times_in(terminal.str(), "\raligning, 0 s\x1b[K\n"), 0U);
  EXPECT_EQ(times_in(terminal.str(), "left"), 0U);
}

TEST(StageClock, IsSilentBetweenStages) {
  std::ostringstream terminal;
  StageClock clock(terminal, 80, milliseconds(2));
  clock.begin("writing");
  clock.end();
  const std::string before = terminal.str();
  std::this_thread::sleep_for(milliseconds(30));
  EXPECT_EQ(terminal.str(), before);
}

TEST(StageClock, LeavesALineAloneThatRunsOnIntoTheNext) {
  std::ostringstream terminal;
  StageClock clock(terminal, 20, milliseconds(2));
  clock.begin("writing to a place with a long name");
  std::this_thread::sleep_for(milliseconds(30));
  clock.end();
  EXPECT_EQ(terminal.str(), "writing to a place with a long name\n");
}

}  // namespace
}  // namespace trammel
