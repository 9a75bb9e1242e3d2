#pragma once

#include <set>
#include <string>
#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

/// Which of the measured pairs a check judges.
struct ClearanceScope {
  std::vector<bay::PartClass> classes;
  std::vector<duct::Piece::Kind> kinds;  ///< of pieces; empty: all
  /// Parts that were not found, bodies that carry nothing: said once, by the checks of the remaining classes.
  bool general = false;
  /// Every engine bay has parts of these classes: where the job has none, it has not said which they are.
  bool always_there = false;
  std::string shield_limit;  ///< sheet id of the limit to a hot part's shield; "": shields do not count
  std::string further_hint;  ///< what would help besides moving the piece: "guard it"; may be empty

  bool holds(const bay::Part& part) const;
  bool holds(duct::Piece::Kind kind) const;
};

/// Subjects at rest (`over_motion` false) or over the motion from the measured pairs within the scope: for each part
/// its worst pair and every pair that is not met or undecided. One subject that is not assessed for each reason why
/// pairs cannot be judged: no parts at all, parts without geometry, bodies whose motion nobody stated.
std::vector<Subject> clearance_subjects(const Context& context, const ClearanceScope& scope, bool over_motion);
/// Both in one check: the subjects say which. Not assessed where classes that are always there have no part.
std::vector<Subject> clearance_subjects(const Context& context, const ClearanceScope& scope);

/// What the sheet asks of one pair; none where it has no row for the part's class, or the row no value for such a
/// piece. A part whose size is in doubt is judged by nothing.
std::optional<Limit> clearance_limit(const bay::Bay& bay, const duct::Duct& duct, const Sheet& sheet,
                                     const measure::PairClearance& pair, bool over_motion);

/// The part (index) that stands as a shield before a hot one, where the straight line between the witnesses crosses it
/// in their pose.
std::optional<int> crossed_shield(const Context& context, const measure::Measured& value, const bay::PartId& hot);

/// Why nothing can be measured to a part: its file is not whole, its size is in doubt, or it has no surface; nothing
/// where it can.
std::optional<Subject> shape_unknown(const bay::Part& part);

/// Parts within the scope whose size is not believed, without geometry, or against which every piece of the duct is
/// left out of the report: nothing is known of them, one subject each.
std::vector<Subject> parts_not_judged(const Context& context, const ClearanceScope& scope,
                                      const measure::ClearanceReport& report);
/// What a subject over the motion must say about the motions it does not hold: those for service, those of no extent;
/// and how far a bonnet is slammed. Into its note.
void note_motions(const Context& context, const measure::PairClearance& pair, Subject& subject);

/// Adds ", at rest" or ", over the motion" to a subject.
void say_poses(Subject& subject);

/// Bodies among these whose motion nobody stated, by id. The vehicle (body 0) is the reference and never moves.
std::set<std::string> unstated_motions(const bay::Bay& bay, const std::set<BodyIndex>& bodies);
/// Bodies that a carriage rides on.
std::set<BodyIndex> bodies_of(const Carriage& carriage);

}  // namespace baywright::checks
