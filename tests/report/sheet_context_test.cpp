#include "trammel/report/sheet_context.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(SheetContext, HoldsTheOpeningsAndTheFindings) {
  const Inspection inspection = test::failing_inspection(5.0);
  const SheetContext context(inspection);
  EXPECT_EQ(context.openings.size(), inspection.verdict.holes.size());
  EXPECT_EQ(context.found.size(), 4U);
  EXPECT_EQ(context.decimals, 2);
  EXPECT_NEAR(context.openings[0].drawn[0].center_mm.z(), 3.0, 1e-4);  // the base is 3 mm thick
}

}  // namespace
}  // namespace trammel
