#include "session/edit.hpp"

#include <algorithm>

#include "geometry/base/expects.hpp"

namespace baywright::session {
namespace {

template <class... Ts>
struct Overloaded : Ts... {
  using Ts::operator()...;
};
template <class... Ts>
Overloaded(Ts...) -> Overloaded<Ts...>;

/// Element of `items` whose `id` is wanted, or an error that names it.
template <class Item, class Key>
Result<typename std::vector<Item>::iterator> find_by_id(std::vector<Item>& items, const Key& id, const char* kind,
                                                        const std::string& where) {
  const auto it = std::find_if(items.begin(), items.end(), [&id](const Item& item) { return item.id == id; });
  if (it == items.end()) {
    return fail(ErrorCode::bad_value, where, std::string("there is no ") + kind + " '" + id.value + "'");
  }
  return it;
}

Result<duct::DuctSpec*> find_duct(job::Job& job, const duct::DuctId& id) {
  const auto it = find_by_id(job.ducts, id, "duct", "job");
  if (!it) return tl::unexpected(it.error());
  return &**it;
}

std::string place(const duct::DuctSpec& spec) { return "duct " + spec.id.value; }

Result<void> edit_duct(duct::DuctSpec& spec, const MovePoint& edit) {
  const auto point = find_by_id(spec.route.points, edit.point, "point", place(spec));
  if (!point) return tl::unexpected(point.error());
  (*point)->p_mm = edit.to_mm;
  return {};
}

Result<void> edit_duct(duct::DuctSpec& spec, const SetBendRadius& edit) {
  const auto point = find_by_id(spec.route.points, edit.point, "point", place(spec));
  if (!point) return tl::unexpected(point.error());
  const bool inner = *point != spec.route.points.begin() && *point + 1 != spec.route.points.end();
  if (!inner) {
    return fail(ErrorCode::bad_value, place(spec),
                "point '" + edit.point.value + "' is an end; only inner points bend");
  }
  (*point)->bend_radius_mm = edit.radius_mm;
  return {};
}

Result<void> edit_duct(duct::DuctSpec& spec, const InsertPoint& edit) {
  if (find_by_id(spec.route.points, edit.point.id, "point", "")) {
    return fail(ErrorCode::bad_value, place(spec), "point '" + edit.point.id.value + "' exists already");
  }
  const auto after = find_by_id(spec.route.points, edit.after, "point", place(spec));
  if (!after) return tl::unexpected(after.error());
  if (*after + 1 == spec.route.points.end()) {
    return fail(ErrorCode::bad_value, place(spec), "no point can follow the last one, '" + edit.after.value + "'");
  }
  spec.route.points.insert(*after + 1, edit.point);
  return {};
}

/// Fittings on the leg that a removed point started move to the leg before it, keeping their place along the old leg
/// as well as a point on the new one can: measured back from the leg's end.
void rehang_fittings(duct::DuctSpec& spec, std::size_t removed) {
  const duct::RoutePoint& before = spec.route.points[removed - 1];
  const duct::RoutePoint& point = spec.route.points[removed];
  const duct::RoutePoint& after = spec.route.points[removed + 1];
  const double leg_mm = (after.p_mm - point.p_mm).norm();
  for (duct::Fitting& fitting : spec.fittings) {
    if (fitting.anchor.leg != point.id) continue;
    if (!fitting.anchor.from_end) fitting.anchor.offset_mm = leg_mm - fitting.anchor.offset_mm;
    fitting.anchor.from_end = true;
    fitting.anchor.leg = before.id;
  }
}

Result<void> edit_duct(duct::DuctSpec& spec, const RemovePoint& edit) {
  const auto point = find_by_id(spec.route.points, edit.point, "point", place(spec));
  if (!point) return tl::unexpected(point.error());
  const auto index = static_cast<std::size_t>(*point - spec.route.points.begin());
  if (index == 0 || index + 1 == spec.route.points.size()) {
    return fail(ErrorCode::bad_value, place(spec), "point '" + edit.point.value + "' is an end and stays");
  }
  rehang_fittings(spec, index);
  spec.route.points.erase(*point);
  return {};
}

Result<void> edit_duct(duct::DuctSpec& spec, const PutFitting& edit) {
  const auto known = find_by_id(spec.fittings, edit.fitting.id, "fitting", "");
  if (known) {
    **known = edit.fitting;
  } else {
    spec.fittings.push_back(edit.fitting);
  }
  return {};
}

Result<void> edit_duct(duct::DuctSpec& spec, const RemoveFitting& edit) {
  const auto fitting = find_by_id(spec.fittings, edit.fitting, "fitting", place(spec));
  if (!fitting) return tl::unexpected(fitting.error());
  spec.fittings.erase(*fitting);
  return {};
}

/// Ducts that end on a fitting of `id` follow its edits, and so do those that end on them.
std::set<std::string> touched(const job::Job& job, const duct::DuctId& id) {
  std::set<std::string> ids{id.value};
  for (bool more = true; more;) {
    more = false;
    for (const duct::DuctSpec& spec : job.ducts) {
      if (!ids.contains(spec.from.duct.value) && !ids.contains(spec.to.duct.value)) continue;
      more = ids.insert(spec.id.value).second || more;
    }
  }
  return ids;
}

template <class DuctEdit>
Result<Edited> apply_to_duct(const job::Job& job, const DuctEdit& edit) {
  Edited edited{job, {}};
  const auto spec = find_duct(edited.job, edit.duct);
  if (!spec) return tl::unexpected(spec.error());
  const Result<void> done = edit_duct(**spec, edit);
  if (!done) return tl::unexpected(done.error());
  edited.changed = touched(edited.job, edit.duct);
  return edited;
}

Result<Edited> put_duct(const job::Job& job, const PutDuct& edit) {
  Edited edited{job, {}};
  const auto known = find_by_id(edited.job.ducts, edit.duct.id, "duct", "");
  if (known) {
    **known = edit.duct;
  } else {
    edited.job.ducts.push_back(edit.duct);
  }
  edited.changed = touched(edited.job, edit.duct.id);
  return edited;
}

}  // namespace

std::string describe(const Edit& edit) {
  return std::visit(Overloaded{[](const MovePoint& e) { return "move point " + e.point.value; },
                               [](const SetBendRadius& e) { return "set bend radius at " + e.point.value; },
                               [](const InsertPoint& e) { return "insert point " + e.point.id.value; },
                               [](const RemovePoint& e) { return "remove point " + e.point.value; },
                               [](const PutFitting& e) { return "place fitting " + e.fitting.id.value; },
                               [](const RemoveFitting& e) { return "remove fitting " + e.fitting.value; },
                               [](const PutDuct& e) { return "replace duct " + e.duct.id.value; }},
                    edit);
}

Result<Edited> apply(const job::Job& job, const Edit& edit) {
  return std::visit(Overloaded{[&job](const PutDuct& e) { return put_duct(job, e); },
                               [&job](const auto& e) { return apply_to_duct(job, e); }},
                    edit);
}

History::History(job::Job job) : current_(std::move(job)) {}

const job::Job& History::current() const { return current_; }

Result<std::set<std::string>> History::apply(const Edit& edit) {
  Result<Edited> edited = session::apply(current_, edit);
  if (!edited) return tl::unexpected(edited.error());
  done_.push_back({std::move(current_), describe(edit), edited->changed});
  current_ = std::move(edited->job);
  undone_.clear();
  return std::move(edited->changed);
}

bool History::can_undo() const { return !done_.empty(); }
bool History::can_redo() const { return !undone_.empty(); }
std::string History::undo_name() const { return done_.empty() ? "" : done_.back().name; }
std::string History::redo_name() const { return undone_.empty() ? "" : undone_.back().name; }

std::set<std::string> History::undo() {
  EXPECTS(can_undo());
  Step step = std::move(done_.back());
  done_.pop_back();
  std::swap(current_, step.before);  // the step now keeps what a redo brings back
  std::set<std::string> changed = step.changed;
  undone_.push_back(std::move(step));
  return changed;
}

std::set<std::string> History::redo() {
  EXPECTS(can_redo());
  Step step = std::move(undone_.back());
  undone_.pop_back();
  std::swap(current_, step.before);
  std::set<std::string> changed = step.changed;
  done_.push_back(std::move(step));
  return changed;
}

}  // namespace baywright::session
