#include "duct/carriers.hpp"

#include <algorithm>
#include <optional>

#include "geometry/base/expects.hpp"

namespace baywright::duct {
namespace {

/// Stretches first..last joined rigidly.
struct Group {
  std::size_t first = 0, last = 0;
  Carried carried;
  bool held = false;
};

/// Any mixture of both; nullopt when that takes more than two motions.
std::optional<Carriage> mixture(const Carriage& a, const Carriage& b) {
  std::vector<RigidCarriage> distinct;
  for (const Carriage* carriage : {&a, &b}) {
    for (const auto& rigid : {std::optional(carriage->first), carriage->second}) {
      if (rigid && std::find(distinct.begin(), distinct.end(), *rigid) == distinct.end()) distinct.push_back(*rigid);
    }
  }
  if (distinct.size() > 2) return std::nullopt;
  Carriage mixed;
  mixed.first = distinct.front();
  if (distinct.size() == 2) mixed.second = distinct.back();
  return mixed;
}

bool on_one_body(const Carriage& carriage) {
  return !carriage.second && carriage.first.kind == RigidCarriage::Kind::fixed;
}

std::size_t stretch_of(const std::vector<Stretch>& stretches, const std::vector<Hold>& holds, std::size_t hold) {
  if (hold == 0) return 0;
  if (hold + 1 == holds.size()) return stretches.size() - 1;
  for (std::size_t i = 0; i < stretches.size(); ++i) {
    if (holds[hold].station_mm <= stretches[i].to_mm) return i;
  }
  return stretches.size() - 1;
}

/// Straight couplers between two different holders have to part them.
void separate_holders(const std::vector<Hold>& holds, const std::vector<std::size_t>& at,
                      std::vector<SoftJoint>& joints) {
  for (std::size_t h = 0; h + 1 < holds.size(); ++h) {
    if (holds[h].carriage == holds[h + 1].carriage) continue;
    const auto from = joints.begin() + static_cast<std::ptrdiff_t>(at[h]);
    const auto to = joints.begin() + static_cast<std::ptrdiff_t>(std::max(at[h], at[h + 1]));
    if (std::any_of(from, to, [](const SoftJoint& joint) { return joint.separates; })) continue;
    std::for_each(from, to, [](SoftJoint& joint) { joint.separates = true; });
  }
}

std::vector<Group> groups_of(std::size_t stretch_count, const std::vector<SoftJoint>& joints) {
  std::vector<Group> groups(1);
  for (std::size_t i = 1; i < stretch_count; ++i) {
    if (joints[i - 1].separates) groups.push_back({i, i, {}, false});
    groups.back().last = i;
  }
  return groups;
}

void hold_group(Group& group, const std::vector<Hold>& holds, const std::vector<std::size_t>& at, Trouble& trouble) {
  std::string holders;
  for (std::size_t h = 0; h < holds.size(); ++h) {
    if (at[h] < group.first || at[h] > group.last) continue;
    holders += (holders.empty() ? "" : ", ") + holds[h].by;
    for (const bay::BodyId& body : holds[h].bodies) {
      auto& held_by = group.carried.held_by;
      if (std::find(held_by.begin(), held_by.end(), body) == held_by.end()) held_by.push_back(body);
    }
    const auto mixed = group.held ? mixture(group.carried.carriage, holds[h].carriage) : holds[h].carriage;
    if (mixed) group.carried.carriage = *mixed;
    if (!mixed) {
      trouble.add(holds[h].by,
                  "one rigid tube is held by more than two bodies (" + holders + "); put a coupler between them");
    }
    group.held = true;
  }
  if (group.carried.carriage.second) {
    group.carried.note =
        "held rigidly by more than one body (" + holders + "); measured over any mixture of their motions";
  }
}

/// Groups first..last float between two held ones; joint `in` leads in, `out` leads out.
void float_groups(std::vector<Group>& groups, std::size_t first, std::size_t last, const std::vector<SoftJoint>& joints,
                  Trouble& trouble) {
  const Carriage& before = groups[first - 1].carried.carriage;
  const Carriage& behind = groups[last + 1].carried.carriage;
  const SoftJoint& in = joints[groups[first].first - 1];
  const SoftJoint& out = joints[groups[last].last];
  Carried floating;
  if (before == behind) {
    floating.carriage = before;
    floating.note = "floats between two soft joints on one carrier; taken to move with it";
  } else if (first == last && on_one_body(before) && on_one_body(behind)) {
    RigidCarriage& link = floating.carriage.first;
    link.kind = RigidCarriage::Kind::link;
    link.a = before.first.a;
    link.b = behind.first.a;
    link.end_a = in.middle_mm;
    link.end_b = out.middle_mm;
  } else {
    const auto mixed = mixture(before, behind);
    if (!mixed) {
      trouble.add("between " + in.name + " and " + out.name,
                  "the floating tube would follow more than two motions; hold it with a bracket");
    }
    floating.carriage = mixed.value_or(before);
    floating.note = first == last
                        ? "floats next to a tube that is not fixed to one body; measured over any mixture of the "
                          "motions on both sides"
                        : "floats next to another floating tube; measured over any mixture of the motions on "
                          "both sides of the chain";
  }
  for (std::size_t g = first; g <= last; ++g) groups[g].carried = floating;
}

/// The carriage of a joint whose two sides move rigidly, each on its own: one end each. Else as it was.
Carriage with_gap(Carriage carriage, const Group& before, const Group& behind, const SoftJoint& joint) {
  const bool ends = carriage.second && !before.carried.carriage.second && !behind.carried.carriage.second;
  if (ends && joint.gap) carriage.gap = joint.gap;  // mixture() keeps their order
  return carriage;
}

Carried carry_joint(const Group& before, const Group& behind, const SoftJoint& joint, Trouble& trouble) {
  Carried carried;
  const auto mixed = mixture(before.carried.carriage, behind.carried.carriage);
  if (!mixed) {
    trouble.add(joint.name,
                "its two ends follow more than two motions together; hold the tubes beside it by one body each");
  }
  carried.carriage = mixed.value_or(before.carried.carriage);
  if (joint.bends_as_curve) carried.carriage = with_gap(carried.carriage, before, behind, joint);
  if (before.carried.held_by == behind.carried.held_by) carried.held_by = before.carried.held_by;
  return carried;
}

}  // namespace

Carriers carry(const std::vector<Stretch>& stretches, std::vector<SoftJoint>& joints, const std::vector<Hold>& holds,
               Trouble& trouble) {
  EXPECTS(stretches.size() == joints.size() + 1);
  EXPECTS(holds.size() >= 2);
  std::vector<std::size_t> at(holds.size());
  for (std::size_t h = 0; h < holds.size(); ++h) at[h] = stretch_of(stretches, holds, h);
  separate_holders(holds, at, joints);
  std::vector<Group> groups = groups_of(stretches.size(), joints);
  for (Group& group : groups) hold_group(group, holds, at, trouble);
  for (std::size_t g = 1; g + 1 < groups.size(); ++g) {
    if (groups[g].held) continue;
    std::size_t last = g;
    while (!groups[last + 1].held) ++last;
    float_groups(groups, g, last, joints, trouble);
    g = last;
  }
  Carriers carriers;
  std::size_t g = 0;
  for (std::size_t i = 0; i < stretches.size(); ++i) {
    const std::size_t previous = g;
    if (i > groups[g].last) ++g;
    if (i > 0) {
      const SoftJoint& joint = joints[i - 1];
      carriers.joints.push_back(carry_joint(groups[previous], groups[g], joint, trouble));
      carriers.clamps.push_back(with_gap(carriers.joints.back().carriage, groups[previous], groups[g], joint));
    }
    carriers.stretches.push_back(groups[g].carried);
  }
  return carriers;
}

}  // namespace baywright::duct
