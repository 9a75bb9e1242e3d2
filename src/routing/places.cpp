#include "routing/places.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/words.hpp"
#include "geometry/direction_text.hpp"

namespace baywright::routing {
namespace {

constexpr int kCoarseStages = 4;
/// Steps around the best: a quarter of a range, halved until it is below this.
constexpr double kLeastStep = 1;  // mm or degrees

/// Travel is given to a tenth of a mm or degree: what a bracket can be made to, and what reads well.
double rounded(double travel) { return std::round(10 * travel) / 10; }

std::string name_of(const job::MayMove& may) {
  if (!may.name.empty()) return may.name;
  std::vector<std::string> ids;
  for (const bay::PartId& part : may.parts) ids.push_back("part " + part.value);
  for (const bay::PortId& port : may.ports) ids.push_back("port " + port.value);
  return joined(ids);
}

bool carries(const job::MayMove& may, const bay::Bay& bay, const bay::PortId& id) {
  const bay::Port* port = bay.find_port(id);
  if (!port) return false;
  const auto holds = [](const auto& list, const auto& one) {
    return std::find(list.begin(), list.end(), one) != list.end();
  };
  return holds(may.ports, id) || (port->part && holds(may.parts, *port->part));
}

}  // namespace

bool PlaceValue::better_than(const PlaceValue& other) const {
  if (weighted.has_value() != other.weighted.has_value()) return weighted.has_value();
  constexpr double kWorthwhile = 1e-6;
  if (weighted) return *weighted < *other.weighted - kWorthwhile;
  return margin_mm > other.margin_mm + kWorthwhile;
}

Result<Places> Places::of(const job::Installation& installation, const duct::Duct& duct) {
  Places out;
  out.units_ = installation.bay.units;
  const auto& all = installation.job.routing.may_move;
  // An installation that was not read has no file.
  const std::string file = installation.files.empty() ? "job" : installation.files.front().path;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const job::MayMove& may = all[i];
    if (!carries(may, installation.bay, duct.spec.from.port) && !carries(may, installation.bay, duct.spec.to.port))
      continue;
    const std::string stays = why_it_stays(installation, duct.spec.id, {may.parts, may.ports, {}, "", ""});
    if (!stays.empty()) {
      return fail(ErrorCode::not_supported, file + ": /routing/may_move/" + std::to_string(i),
                  name_of(may) + " cannot be moved for duct " + duct.spec.id.value + ": " + stays +
                      "; take this out of a copy of the job, or what stands against it");
    }
    const std::size_t group = out.groups_.size();
    out.groups_.push_back(may);
    for (std::size_t k = 0; k < may.slides.size(); ++k)
      out.ranges_.push_back({group, k, may.slides[k].from_mm, may.slides[k].to_mm});
    if (may.turn) out.ranges_.push_back({group, std::nullopt, to_degrees(may.turn->from), to_degrees(may.turn->to)});
  }
  out.seen_ = {out.given()};
  return out;
}

Places::Spot Places::given() const {
  return {std::vector<std::size_t>(groups_.size(), 0), std::vector<double>(ranges_.size(), 0.0)};
}

std::vector<Places::Spot> Places::coarse(int stage) const {
  std::vector<Spot> out;
  if (stage == 0) {
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      for (std::size_t k = 1; k <= groups_[g].places.size(); ++k) {
        out.push_back(given());
        out.back().place[g] = k;
      }
    }
  } else if (stage == 2) {
    // All at ends together: one end of each range after the other, the last one fastest.
    constexpr std::size_t kMostTogether = 3;
    const std::size_t together = std::min(ranges_.size(), kMostTogether);
    for (std::size_t corner = 0; together > 1 && corner < (std::size_t{1} << together); ++corner) {
      out.push_back(given());
      for (std::size_t r = 0; r < together; ++r)
        out.back().travel[r] = (corner >> r & 1) == 0 ? ranges_[r].from : ranges_[r].to;
    }
  } else {
    for (std::size_t r = 0; r < ranges_.size(); ++r) {
      for (const double end : {ranges_[r].from, ranges_[r].to}) {
        out.push_back(given());
        out.back().travel[r] = stage == 1 ? end : rounded(0.5 * end);
      }
    }
  }
  return out;
}

std::vector<Places::Spot> Places::around(const Spot& best, int halvings) const {
  std::vector<Spot> out;
  for (std::size_t r = 0; r < ranges_.size(); ++r) {
    if (best.place[ranges_[r].group] != 0) continue;
    const double step = 0.25 * (ranges_[r].to - ranges_[r].from) / std::pow(2.0, halvings);
    if (step < kLeastStep) continue;
    for (const double way : {-1.0, 1.0}) {
      out.push_back(best);
      double& travel = out.back().travel[r];
      travel = std::clamp(rounded(travel + way * step), ranges_[r].from, ranges_[r].to);
    }
  }
  return out;
}

std::vector<Setting> Places::next(const std::vector<PlaceValue>& values) {
  std::vector<Setting> out;
  const auto take = [&](const std::vector<Spot>& spots) {
    for (const Spot& spot : spots) {
      if (out.size() >= kMostAtOnce) break;
      if (std::find(seen_.begin(), seen_.end(), spot) != seen_.end()) continue;
      seen_.push_back(spot);
      out.push_back(setting_of(spot));
    }
  };
  while (stage_ < kCoarseStages && out.empty()) {
    take(coarse(stage_));
    // What a stage has more than can be tried at once comes with the next call.
    if (out.size() < kMostAtOnce) ++stage_;
  }
  if (!out.empty()) return out;
  std::size_t best = 0;
  for (std::size_t i = 1; i < std::min(values.size(), seen_.size()); ++i) {
    if (values[i].better_than(values[best])) best = i;
  }
  if (best == best_) ++halvings_;
  best_ = best;
  constexpr int kMostHalvings = 8;
  while (out.empty() && halvings_ <= kMostHalvings) {
    take(around(seen_[best], std::max(halvings_ - 1, 0)));
    if (out.empty()) ++halvings_;
  }
  return out;
}

Pose Places::pose_of(const Spot& spot, std::size_t group) const {
  const job::MayMove& may = groups_[group];
  if (spot.place[group] > 0) {
    const job::OtherPlace& place = may.places[spot.place[group] - 1];
    const Vec3 about = place.about_mm.value_or(Vec3::Zero());
    return Pose::translation(place.shift_mm) * Pose::rotation(Vec3::UnitZ(), about, place.yaw.si()) *
           Pose::rotation(Vec3::UnitY(), about, place.pitch.si()) *
           Pose::rotation(Vec3::UnitX(), about, place.roll.si());
  }
  Pose turned;
  Vec3 shift = Vec3::Zero();
  for (std::size_t r = 0; r < ranges_.size(); ++r) {
    if (ranges_[r].group != group || spot.travel[r] == 0) continue;
    if (ranges_[r].slide) {
      shift += spot.travel[r] * may.slides[*ranges_[r].slide].along;
    } else {
      turned = Pose::rotation(may.turn->axis.direction, may.turn->axis.point_mm, degrees(spot.travel[r]).si());
    }
  }
  return Pose::translation(shift) * turned;
}

std::string Places::text_of(const Spot& spot, std::size_t group) const {
  const job::MayMove& may = groups_[group];
  if (spot.place[group] > 0) return name_of(may) + " at place " + may.places[spot.place[group] - 1].name;
  std::vector<std::string> ways;
  for (std::size_t r = 0; r < ranges_.size(); ++r) {
    const double travel = spot.travel[r];
    if (ranges_[r].group != group || travel == 0) continue;
    if (ranges_[r].slide) {
      const Vec3 along = (travel < 0 ? -1.0 : 1.0) * may.slides[*ranges_[r].slide].along;
      ways.push_back("moved by " + length_text(std::abs(travel), units_) + " along " + direction_text(along));
    } else {
      char text[40];
      std::snprintf(text, sizeof text, "turned by %.1f°", travel);
      ways.emplace_back(text);
    }
  }
  return name_of(may) + " " + joined(ways);
}

Setting Places::setting_of(const Spot& spot) const {
  Setting out;
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    bool moves = spot.place[g] > 0;
    for (std::size_t r = 0; r < ranges_.size(); ++r) moves = moves || (ranges_[r].group == g && spot.travel[r] != 0);
    if (!moves) continue;
    PartMove move{groups_[g].parts, groups_[g].ports, pose_of(spot, g), text_of(spot, g), ""};
    if (spot.place[g] > 0) move.place = groups_[g].places[spot.place[g] - 1].name;
    out.push_back(std::move(move));
  }
  return out;
}

}  // namespace baywright::routing
