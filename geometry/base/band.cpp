#include "geometry/base/band.hpp"

#include <cmath>
#include <map>

#include "geometry/base/expects.hpp"

namespace baywright {

void Band::add(Contribution c) {
  EXPECTS(c.low >= 0 && c.high >= 0);
  contributions_.push_back(std::move(c));
}

namespace {

constexpr double kCoverageFactor = 2.0;  // GUM: k = 2 for about 95 %

double combine(const std::vector<Contribution>& contributions, double Contribution::*side) {
  std::map<std::string, double> groups;
  double squares = 0;
  double bounds = 0;
  for (const Contribution& c : contributions) {
    if (c.kind == Contribution::Kind::bound) {
      bounds += c.*side;
      continue;
    }
    const double expanded = c.kind == Contribution::Kind::standard ? kCoverageFactor * (c.*side) : c.*side;
    if (c.group.empty()) {
      squares += expanded * expanded;
    } else {
      groups[c.group] += expanded;
    }
  }
  for (const auto& [name, sum] : groups) squares += sum * sum;
  return std::sqrt(squares) + bounds;
}

}  // namespace

double Band::low() const { return combine(contributions_, &Contribution::low); }
double Band::high() const { return combine(contributions_, &Contribution::high); }

}  // namespace baywright
