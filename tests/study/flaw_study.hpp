#pragma once

/// One random part with one random flaw, scanned under random conditions, judged the whole way, and
/// the verdict held against the truth (true_surface.hpp).
///
/// A part is *bad* when, held the kindest way, it lies beyond its band over more than the plan's
/// least area, when something is there or lacks that no band allows (a hole missing or too many, a
/// boss missing), or when the hole that the plan limits is out. It is *good* when it lies beyond
/// its band over less than the least area, less what a scan can tell of an area (2 · spacing ·
/// √area), both held that way and as the check laid it. Between the two it may come out either way.
///
/// - A *false pass* is a pass of a part that is beyond its band over more than the least area as
///   the check itself laid it (so that no bad part can hide behind a bad pose), or bad by kind.
///   Only surface that the scan shows counts: a plan that asks for less than all to be seen lets a
///   flaw on the rest pass, and that is a *hidden* one.
/// - A *false fail* is a fail of a good part.
/// - *Needless* is an undecided part, seen all round, in no doubt how it lies and with no place
/// that
///   the scan has no point of, whose level (the deviation reached over the least area, one side) is
///   farther than 2 U from the limit, or that is bad by kind.

#include <string>

#include "study/planted_flaws.hpp"
#include "trammel/model/inspection.hpp"

namespace trammel::test {

enum class PartTruth { Good, Either, Bad };
/// Why a part is undecided.
enum class Doubt { None, Pose, Unseen, NearLimit, Needless };
enum class Naming { Right, Wrong, Nothing, NotAsked };

/// What the scan was like.
struct ScanConditions {
  double noise_mm = 0.03;
  double coating_mm = 0.0;
  double stray_share = 0.0;
  bool normals = true, from_above = false, bench = false;
  [[nodiscard]] std::string words() const;
};
/// The same for the same part.
[[nodiscard]] ScanConditions conditions_of(PlantedKind kind, int number);

struct FlawResult {
  PartTruth truth = PartTruth::Either;
  Outcome outcome = Outcome::Undecided;
  bool false_pass = false, hidden = false, false_fail = false;
  Doubt doubt = Doubt::None;
  Naming naming = Naming::NotAsked;  ///< asked where the pose is sure and the flaw beyond 1.5 bands
  double level_mm = 0.0;             ///< true, as the check laid it
  double expanded_mm = 0.0;          ///< its U
  double seconds = 0.0;              ///< of the check
  std::string log;                   ///< what was planted and what was said, several lines
};

[[nodiscard]] FlawResult try_flaw(PlantedKind kind, int number);

struct FlawTally {
  int parts = 0, good = 0, bad = 0, either = 0;
  int passed = 0, failed = 0, undecided = 0;
  int false_pass = 0, hidden = 0, false_fail = 0;
  int pose = 0, unseen = 0, near_limit = 0, needless = 0;  ///< of the undecided
  int right = 0, wrong = 0, nothing = 0;
  void add(const FlawResult& result);
};

}  // namespace trammel::test
