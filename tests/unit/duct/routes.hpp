#pragma once

#include "tests/support/ducts.hpp"

namespace baywright::test {

/// A three-bend tube worked out beforehand.
inline std::vector<Vec3> worked_points() {
  return {{0, 0, 0}, {300, 0, 0}, {300, 320, 80}, {620, 420, 80}, {620, 420, -180}};
}

}  // namespace baywright::test
