#pragma once

#include <span>
#include <string>

#include "checks/check.hpp"

namespace baywright::checks {

/// What a person answered to `check` (for `duct`, else for all): 1 yes, 0 no, with who said so; not assessed where
/// nobody has. For checks that ask, and for subjects of others that only a person can decide.
Subject asked_subject(std::span<const Answer> answers, const std::string& check, const duct::DuctId& duct,
                      const std::string& question);
/// Whether the job may answer it: an asked check, or one that asks where it cannot measure.
bool takes_answers(const CheckDef& check);

}  // namespace baywright::checks
