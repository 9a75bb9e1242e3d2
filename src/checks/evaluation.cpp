#include "checks/evaluation.hpp"

namespace baywright::checks {

int exit_code(const Summary& summary) {
  if (summary.not_met > 0) return 1;
  if (summary.undecided > 0 || summary.not_checked > 0 || summary.met == 0) return 3;
  return 0;
}

}  // namespace baywright::checks
