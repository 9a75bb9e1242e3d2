#pragma once

#include <string>
#include <vector>

#include "access/assembly.hpp"

namespace baywright::access {

/// A hose moved along what it sits on before its tube is moved.
struct HoseSlide {
  int hose = -1;                ///< item
  double mm = 0;                ///< along the flow
  std::vector<int> left_out;    ///< InWay::of that it slides on or off: touched by design...
  std::vector<InWay> rest;      ///< ...but for this of them
  std::vector<std::string> on;  ///< their names
};

/// One way of freeing an end of a tube, or of a hose that sits on one thing.
struct Release {
  std::string words;  ///< "" when nothing holds it
  std::vector<HoseSlide> slides;
  std::vector<int> with;  ///< hoses that go with it
  /// Drawn off: all of it moves along `axis`; what lies on the plain length at this end, and those hoses, may touch
  /// what is left out on the way, and nothing at its end.
  bool pulls = false;
  Vec3 axis = Vec3::UnitX();
  double length_mm = 0;
  double plain_mm = 0;           ///< of the tube at this end, for what lies on it
  std::optional<Branch> branch;  ///< the end is a branch port of the tube, not one of its own
  std::vector<int> left_out;
  std::vector<InWay> rest;
  std::vector<std::string> on;
};

/// All that are known for one end of a piece; why there are none, or not all that there might be.
struct Releases {
  std::vector<Release> ways;
  std::string open;
  std::vector<std::string> missing;
};
Releases releases_of_tube(const Assembly& assembly, int tube, bool upstream_end);
/// Of what still sits on a branch port of a tube.
Releases releases_of_branch(const Assembly& assembly, int tube, const Branch& branch);
/// Of a hose that sits on one thing or none.
Releases releases_of_hose(const Assembly& assembly, int hose);

}  // namespace baywright::access
