#include "routing/front.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "geometry/base/expects.hpp"
#include "geometry/base/words.hpp"

namespace baywright::routing {
namespace {

/// What a route has of an aim; less is better.
double amount(const JudgedRoute& route, Aim aim) {
  constexpr double kPaPerDegree = 1000.0 / 90;  // stands in where the restriction is not known
  switch (aim) {
    case Aim::bends:
      return route.bends;
    case Aim::restriction:
      return route.restriction_Pa.value_or(kPaPerDegree * route.turning_deg);
    case Aim::margin:
      // Nothing within the range of the clearances: ample.
      return -std::min(route.least_room_mm.value_or(kAmple_mm), kAmple_mm);
    case Aim::length:
      return route.length_mm;
    case Aim::pieces:
      return route.pieces;
    case Aim::moved:
      return static_cast<double>(route.moves.size());
    case Aim::prefer:
      return -route.preferred_share;
  }
  return 0;
}

/// What counts as one of it.
double unit(Aim aim) {
  switch (aim) {
    case Aim::restriction:
      return 100;  // Pa
    case Aim::margin:
      return 5;  // mm
    case Aim::length:
      return 100;  // mm
    case Aim::prefer:
      return 0.1;
    case Aim::bends:
    case Aim::pieces:
    case Aim::moved:
      return 1;
  }
  return 1;
}

/// Below it two routes have as much of it.
double alike(Aim aim) {
  switch (aim) {
    case Aim::restriction:
      return 1;  // Pa
    case Aim::margin:
      return 0.1;  // mm: about the width of a bracket
    case Aim::length:
      return 1;  // mm
    case Aim::prefer:
      return 0.01;
    case Aim::bends:
    case Aim::pieces:
    case Aim::moved:
      return 0;
  }
  return 0;
}

bool dominated(const JudgedRoute& route, const std::vector<JudgedRoute>& by) {
  return std::any_of(by.begin(), by.end(), [&](const JudgedRoute& other) { return dominates(other, route); });
}

/// Whether a route has the least of something; the first of those that have.
bool best_in_something(std::size_t i, const std::vector<JudgedRoute>& routes) {
  return std::any_of(std::begin(kAims), std::end(kAims), [&](Aim aim) {
    const auto least = std::min_element(
        routes.begin(), routes.end(), [aim](const auto& a, const auto& b) { return amount(a, aim) < amount(b, aim); });
    return least == routes.begin() + static_cast<std::ptrdiff_t>(i);
  });
}

}  // namespace

std::string_view name(Aim aim) {
  switch (aim) {
    case Aim::bends:
      return "bends";
    case Aim::restriction:
      return "restriction";
    case Aim::margin:
      return "margin";
    case Aim::length:
      return "length";
    case Aim::pieces:
      return "pieces";
    case Aim::moved:
      return "moved";
    case Aim::prefer:
      return "prefer";
  }
  return "";
}

double& Weights::of(Aim aim) {
  switch (aim) {
    case Aim::restriction:
      return restriction;
    case Aim::margin:
      return margin;
    case Aim::length:
      return length;
    case Aim::pieces:
      return pieces;
    case Aim::moved:
      return moved;
    case Aim::prefer:
      return prefer;
    case Aim::bends:
      break;
  }
  return bends;
}

Result<void> set_weight(const std::string& text, Weights& weights) {
  const std::size_t sign = text.find('=');
  const std::string word = text.substr(0, sign);
  std::vector<std::string> words;
  for (const Aim aim : kAims) words.emplace_back(name(aim));
  const auto it = std::find(words.begin(), words.end(), word);
  if (sign == std::string::npos || it == words.end()) {
    return fail(ErrorCode::bad_value, "--weight",
                "'" + text + "' is no weight; say NAME=NUMBER, the name being one of " + joined(words));
  }
  const std::string number = text.substr(sign + 1);
  char* end = nullptr;
  const double value = std::strtod(number.c_str(), &end);
  constexpr double kGreatest = 1e6;
  if (number.empty() || *end != '\0' || !(value >= 0 && value <= kGreatest)) {
    return fail(ErrorCode::bad_value, "--weight", "'" + number + "' is no number from 0 to 1000000");
  }
  weights.of(kAims[it - words.begin()]) = value;
  return {};
}

double weighted(const JudgedRoute& route, const Weights& weights) {
  double sum = 0;
  for (const Aim aim : kAims) sum += weights.of(aim) * amount(route, aim) / unit(aim);
  return sum;
}

bool preferred(const JudgedRoute& a, const JudgedRoute& b, const Weights& weights) {
  if (a.restriction_Pa.has_value() != b.restriction_Pa.has_value()) return a.restriction_Pa.has_value();
  return weighted(a, weights) < weighted(b, weights);
}

bool dominates(const JudgedRoute& a, const JudgedRoute& b) {
  if (b.restriction_Pa && !a.restriction_Pa) return false;
  const bool known_alone = a.restriction_Pa && !b.restriction_Pa;
  bool better = false;
  for (const Aim aim : kAims) {
    if (aim == Aim::restriction && known_alone) continue;
    const double less = amount(b, aim) - amount(a, aim);
    if (less < -alike(aim)) return false;
    better = better || less > alike(aim);
  }
  return better;
}

void keep_on_front(JudgedRoute route, std::vector<JudgedRoute>& kept, std::size_t most, const Weights& weights) {
  EXPECTS(route.meets && most > 0);
  const bool beaten = std::any_of(kept.begin(), kept.end(), [&](const JudgedRoute& r) {
    return !different(r, route) && !preferred(route, r, weights);
  });
  if (beaten) return;
  std::erase_if(kept, [&](const JudgedRoute& r) { return !different(r, route); });
  kept.push_back(std::move(route));
  const std::vector<JudgedRoute> all = kept;
  for (JudgedRoute& r : kept) r.dominated = dominated(r, all);
  std::stable_sort(kept.begin(), kept.end(), [&](const JudgedRoute& a, const JudgedRoute& b) {
    return a.dominated != b.dominated ? b.dominated : preferred(a, b, weights);
  });
  while (kept.size() > most) {
    std::size_t worst = kept.size() - 1;
    if (!kept[worst].dominated) {
      // The last one that is best in nothing; the first of all, which is the one proposed, never.
      while (worst > 0 && best_in_something(worst, kept)) --worst;
      if (worst == 0) worst = kept.size() - 1;
    }
    kept.erase(kept.begin() + static_cast<std::ptrdiff_t>(worst));
  }
}

}  // namespace baywright::routing
