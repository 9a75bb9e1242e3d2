#include "geometry/base/expects.hpp"

#include <string>

namespace baywright {

void contract_violated(const char* condition, const char* file, int line) {
  throw ContractViolation(std::string("broken contract '") + condition + "' at " + file + ":" + std::to_string(line));
}

}  // namespace baywright
