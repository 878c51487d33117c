#pragma once

/// What checking one scan and checking many have in common.

#include "commands.hpp"

namespace trammel::app {

/// The plan's file, or a plan made of --design and what goes with it.
[[nodiscard]] Plan plan_of(const CheckOptions& options);

/// Every file that the check reads.
[[nodiscard]] std::vector<std::filesystem::path> inputs_of(const CheckOptions& options,
                                                           const Plan& plan);

/// Of the stages of one check that takes long, each line beginning with `prefix`.
[[nodiscard]] std::vector<StageShare> usual_shares(const std::string& prefix = "");

/// Checks every scan of the options, each into a folder of its own, and writes the overview after
/// each of them. @return the worst exit code
/// @throws Error for what all scans share: plan, design, the overview's folder
[[nodiscard]] int run_batch(const CheckOptions& options, const Common& common);

}  // namespace trammel::app
