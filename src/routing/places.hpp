#pragma once

#include <optional>
#include <vector>

#include "duct/route.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "routing/port_moves.hpp"

namespace baywright::routing {

/// Where everything stands that a job lets move for a duct; empty: as given.
using Setting = std::vector<PartMove>;

/// How well a setting did: a route that meets before none, then less of its weighted sum; else the more room the
/// nearer.
struct PlaceValue {
  std::optional<double> weighted;  ///< of the best route that meets
  double margin_mm = -1e9;         ///< of what came nearest to having room
  bool better_than(const PlaceValue& other) const;
};

/// Settings worth a search of their own, from coarse to fine: the other places the job names, each thing at the ends of
/// its ranges, all at ends together, half-way, and then around the best one known, in steps that are halved where none
/// does better. Which come next hangs on what was found alone, never on the time it took.
class Places {
 public:
  /// What the job lets move at the ends of a duct. Fails: another duct ends there too, a part is a cloud of points.
  static Result<Places> of(const job::Installation& installation, const duct::Duct& duct);

  bool any() const { return !groups_.empty(); }
  /// The next few, none of them seen before; `values`: of the settings that came, in their order, the one as given
  /// first. Empty where all is said.
  std::vector<Setting> next(const std::vector<PlaceValue>& values);

  static constexpr std::size_t kMostAtOnce = 8;

 private:
  /// Along one slide or about one turn, in mm or degrees.
  struct Range {
    std::size_t group = 0;
    std::optional<std::size_t> slide;  ///< none: the turn
    double from = 0, to = 0;
  };
  /// Where all things are: the place of each group (0: it slides and turns from where it was given), and the travel
  /// along each range.
  struct Spot {
    std::vector<std::size_t> place;
    std::vector<double> travel;
    bool operator==(const Spot&) const = default;
  };
  Spot given() const;
  std::vector<Spot> coarse(int stage) const;
  std::vector<Spot> around(const Spot& best, int halvings) const;
  Setting setting_of(const Spot& spot) const;
  Pose pose_of(const Spot& spot, std::size_t group) const;
  std::string text_of(const Spot& spot, std::size_t group) const;

  DisplayUnits units_;
  std::vector<job::MayMove> groups_;
  std::vector<Range> ranges_;
  std::vector<Spot> seen_;  ///< the one as given first
  int stage_ = 0, halvings_ = 0;
  std::size_t best_ = 0;
};

}  // namespace baywright::routing
