#include "trammel/base/error.hpp"

#include <gtest/gtest.h>

#include <string>

namespace trammel {
namespace {

TEST(Error, SaysWhereWhatAndWhatNext) {
  const Error error(ErrorKind::Input, "plan.toml:3", "expected a number, found a text",
                    "Write 0.5 without quotes");
  EXPECT_STREQ(error.what(),
               "plan.toml:3: expected a number, found a text. Write 0.5 without quotes");
  EXPECT_EQ(error.kind(), ErrorKind::Input);
  EXPECT_EQ(error.where(), "plan.toml:3");
  EXPECT_EQ(error.problem(), "expected a number, found a text");
  EXPECT_EQ(error.next(), "Write 0.5 without quotes");
}

TEST(Error, LeavesOutWhatIsNotKnown) {
  EXPECT_STREQ(Error(ErrorKind::Usage, "", "no scan was given").what(), "no scan was given");
}

TEST(Error, MapsEachKindToItsExitCode) {
  // The numbers users' scripts rely on: DESIGN, "Commands"; from 64 on those of BSD sysexits.h
  // (EX_USAGE, EX_DATAERR, EX_NOINPUT, EX_SOFTWARE, EX_CANTCREAT).
  EXPECT_EQ(static_cast<int>(exit_code_of(ErrorKind::Usage)), 64);
  EXPECT_EQ(static_cast<int>(exit_code_of(ErrorKind::Input)), 65);
  EXPECT_EQ(static_cast<int>(exit_code_of(ErrorKind::Missing)), 66);
  EXPECT_EQ(static_cast<int>(exit_code_of(ErrorKind::Internal)), 70);
  EXPECT_EQ(static_cast<int>(exit_code_of(ErrorKind::Output)), 73);
}

TEST(Check, LetsAKeptPromisePass) {
  EXPECT_NO_THROW(TRAMMEL_CHECK(1 + 1 == 2, "sums must be right"));
}

TEST(Check, ReportsABrokenPromiseAsInternal) {
  try {
    TRAMMEL_CHECK(1 + 1 == 3, "sums must be right");
    FAIL() << "nothing was thrown";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Internal);
    EXPECT_NE(error.where().find("error_test.cpp:"), std::string::npos);
    EXPECT_EQ(error.problem(), "sums must be right (1 + 1 == 3 does not hold)");
  }
}

}  // namespace
}  // namespace trammel
