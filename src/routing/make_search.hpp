#pragma once

#include <optional>
#include <random>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"
#include "job/assemble.hpp"
#include "routing/corridor.hpp"
#include "routing/grow.hpp"
#include "routing/locked.hpp"
#include "routing/makes.hpp"
#include "routing/regions.hpp"
#include "routing/room.hpp"
#include "routing/seeds.hpp"
#include "routing/settle.hpp"
#include "routing/trial.hpp"

namespace baywright::routing {

/// A course with fittings, settled, that is ready for the full check.
struct Ready {
  Course course;
  duct::DuctSpec spec;
  double margin_mm = 0;  ///< as the search takes it
  double cost_mm = 0;    ///< equivalent_length_mm(), less what is preferred
  int bends = 0;
};
/// Those that have room first, of few bends, then cheapest; then those that have least too little.
bool sooner(const Ready& a, const Ready& b);

/// The search with one make of the duct: courses that are settled and keep what the stock asks, for others to check in
/// full. Its rounds are independent of the time they take. All that it is given must outlive it; the installation has
/// the job's keep-outs among its parts.
class MakeSearch {
 public:
  MakeSearch(const job::Installation& installation, const PartEdges& edges, const Make& make,
             const PreferredRegions& preferred, unsigned seed, const Progress& progress);

  /// Fewest bends: none, one, two.
  std::vector<Ready> few_bends();
  /// A new corridor and the courses that follow it.
  std::vector<Ready> corridor(int number);
  /// Courses grown bend by bend through the room there is, from either end in turn.
  std::vector<Ready> grown(int number);
  /// A route's points moved, and its radii changed, to where it loses less; none: it stays as it is.
  std::optional<Ready> improved(const Course& course) const;
  /// A course that somebody drew, mended: its points moved as little as gives it room, its straights and its fittings
  /// their places, its radii where the sheet asks for larger ones; what is locked stays. None: it is no duct still, or
  /// has not all that is locked.
  std::optional<Ready> mended(const Course& drawn);
  /// Courses that lacked least room, for near-misses; none: there were none.
  const std::vector<Ready>& almost() const { return almost_; }
  /// Where there are none: courses through the least of what is in the way, or any that could be made.
  void through_everything();

  /// Frees what can be measured again, for a search that may not go on.
  void let_go();

  const Make& make() const { return make_; }
  std::size_t tried() const { return tried_; }          ///< courses that were settled
  std::size_t corridors() const { return corridors_; }  ///< that the bare tube has room in

 private:
  SeedOptions seed_options() const;
  Freedom freedom_of(const Course& course) const;
  std::vector<Ready> through_locked(int number);
  std::vector<Seed> locked_courses(int number, double accept_mm);
  bool bend_is_locked(const Course& course, std::size_t bend) const;
  double cost_mm(const CourseShape& shape) const;
  double accept_mm() const;
  std::vector<double> least_straights(const Course& course) const;
  Trial try_lengthened(Settled& settled, const Freedom& freedom, const ContactsOf& contacts, SettleOptions& options);
  std::vector<Ready> prepared(const std::vector<Seed>& seeds);
  std::optional<Ready> prepare(const Course& start);
  std::optional<Ready> with_fittings(const Course& course) const;
  Settled with_other_radii(Settled settled, const Freedom& freedom, const ContactsOf& contacts,
                           const SettleOptions& options);
  std::optional<Ready> ready_of(const Course& course, double margin_mm, const duct::Duct& duct) const;
  void keep_almost(std::optional<Ready> one);
  void try_as_they_are(const std::vector<Course>& courses);
  std::vector<Course> neighbours(const Course& course, const Freedom& freedom, double step_mm) const;
  bool has_room(const Course& course) const;
  bool may_have(const Course& course) const;

  const job::Installation& installation_;
  const PartEdges& edges_;
  const Make& make_;
  const Requirements& need_;
  const PreferredRegions& preferred_;
  const LockedRun locked_;
  const unsigned seed_;
  const Progress progress_;
  Room room_;
  std::optional<RoomField> field_;
  std::optional<WayLeft> left_to_end_, left_to_start_;
  bool connected_ = true;  ///< as far as is known
  std::vector<Corridor> used_;
  std::vector<Ready> almost_;
  std::size_t tried_ = 0, corridors_ = 0;
  int mixes_left_ = 0;
};

}  // namespace baywright::routing
