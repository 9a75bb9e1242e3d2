#pragma once

#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"
#include "job/assemble.hpp"
#include "routing/requirements.hpp"
#include "routing/room.hpp"
#include "routing/settle.hpp"

namespace baywright::routing {

/// A course as a duct with everything on it, or why it is none.
struct Trial {
  std::optional<duct::Duct> duct;
  std::string reason;   ///< "" when there is a duct
  double lacks_mm = 0;  ///< straight that its fittings lack, as far as that is the reason and known
};
/// `olds`: the job's own duct, whose fittings are placed again; where there are several (a joint was added to it at one
/// place or another among them), the first one whose fittings find places.
Trial try_course(const job::Installation& installation, std::span<const duct::Duct> olds,
                 const Requirements& requirements, const Course& course);

/// Sharp edges of the parts of a bay, where the sheet asks for a distance to them (cr.edge); each part is searched when
/// it is first asked for. May be asked from several threads. The installation must outlive it.
class PartEdges {
 public:
  explicit PartEdges(const job::Installation& installation);
  /// As measure::edges_of(); none besides: no limit, a keep-out, a class that has none.
  const bay::Part* of(int part) const;
  double limit_mm() const { return limit_mm_; }

 private:
  const job::Installation& installation_;
  double limit_mm_ = 0;
  mutable std::vector<std::once_flag> known_;
  mutable std::vector<std::optional<bay::Part>> edges_;
};

/// Places where a duct is nearer to a part, or to its sharp edges, than the sheet asks for, or within `window_mm` of
/// that: every piece of it, at rest and over the certified motion, uncertainty included, about one place for each 60
/// mm, piece and part. As contacts of the course the duct was made of. Runs in parallel; deterministic.
std::vector<Contact> duct_contacts(const job::Installation& installation, const PartEdges& edges,
                                   const duct::Duct& duct, const CourseShape& shape, double window_mm,
                                   const Progress& progress = {});

/// Both in one, for settling. Where the course is no duct: what a bare tube meets in `room`, and one contact of
/// -kNoDuct_mm that no move changes.
ContactsOf contacts_of_duct(const job::Installation& installation, const PartEdges& edges,
                            std::span<const duct::Duct> olds, const Requirements& requirements, const Room& room,
                            double window_mm, const Progress& progress);
inline constexpr double kNoDuct_mm = 100;

}  // namespace baywright::routing
