#pragma once

#include <set>
#include <string>
#include <variant>
#include <vector>

#include "geometry/base/result.hpp"
#include "job/job.hpp"

namespace baywright::session {

// Edits as values: small, named, applied to a job and undone by their inverse.

struct MovePoint {
  duct::DuctId duct;
  duct::PointId point;
  Vec3 to_mm;
};
struct SetBendRadius {
  duct::DuctId duct;
  duct::PointId point;
  double radius_mm = 0;
};
struct InsertPoint {
  duct::DuctId duct;
  duct::PointId after;
  duct::RoutePoint point;
};
struct RemovePoint {
  duct::DuctId duct;
  duct::PointId point;
};
/// Adds the fitting, or replaces the one with its id.
struct PutFitting {
  duct::DuctId duct;
  duct::Fitting fitting;
};
struct RemoveFitting {
  duct::DuctId duct;
  duct::FittingId fitting;
};
/// Whole-duct replacement (what a router returns).
struct PutDuct {
  duct::DuctSpec duct;
};

using Edit = std::variant<MovePoint, SetBendRadius, InsertPoint, RemovePoint, PutFitting, RemoveFitting, PutDuct>;
std::string describe(const Edit& edit);  ///< "move point P2"

struct Edited {
  job::Job job;
  std::set<std::string> changed;  ///< ids of ducts to measure again
};
/// Fails with bad_value when an id does not exist; the job is untouched.
Result<Edited> apply(const job::Job& job, const Edit& edit);

/// History of whole jobs (they are small); one step per edit.
class History {
 public:
  explicit History(job::Job job);
  const job::Job& current() const;
  Result<std::set<std::string>> apply(const Edit& edit);
  bool can_undo() const;
  bool can_redo() const;
  std::string undo_name() const;
  std::string redo_name() const;
  std::set<std::string> undo();
  std::set<std::string> redo();

 private:
  struct Step {
    job::Job before;
    std::string name;
    std::set<std::string> changed;
  };
  job::Job current_;
  std::vector<Step> done_, undone_;
};

}  // namespace baywright::session
