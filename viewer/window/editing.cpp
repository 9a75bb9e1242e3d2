#include "viewer/window/editing.hpp"

#include <algorithm>

#include "job/lay_out_ducts.hpp"

namespace baywright::viewer {

namespace {

constexpr int kKeepAfter_ms = 1500;  // unsaved changes are kept when nothing was edited for so long
constexpr double kStepSpacing_mm = 14;
constexpr double kMapRange_mm = 50;

QString line_of(const Error& error) { return QString::fromStdString(to_line(error)); }

QStringList lines_of(const std::vector<Error>& errors) {
  QStringList lines;
  for (const auto& error : errors) lines << line_of(error);
  return lines;
}

/// `before` with the clearances a drag ended with: enough to start the next one from, not to judge by.
SharedEvaluation with_clearances(const checks::Evaluation& before, const session::DragRelease& release) {
  auto out = std::make_shared<checks::Evaluation>();
  for (const auto& result : before.ducts) {
    out->ducts.push_back({result.duct, {}, {}});
    auto& measures = out->ducts.back().measures;
    const bool moved = result.duct == release.edit.duct;
    measures.at_rest = moved ? release.at_rest : result.measures.at_rest;
    measures.over_motion = moved ? release.over_motion : result.measures.over_motion;
  }
  return out;
}

}  // namespace

Editing::Editing(QObject* parent) : QObject(parent), runner_(new DragRunner(this)), measurer_(new Measurer(this)) {
  connect(runner_, &DragRunner::stepped, this, &Editing::stepped);
  connect(runner_, &DragRunner::refused, this, &Editing::refused);
  connect(runner_, &DragRunner::released, this, [this](const SharedRelease& release) { released(*release); });
  connect(runner_, &DragRunner::given_up, this, [this](const QString& why) {
    held_.reset();
    Q_EMIT drag_over();
    if (!why.isEmpty()) Q_EMIT complained(tr("The point went back: the duct cannot be made so"), {why});
  });
  connect(measurer_, &Measurer::measured, this, [this](const SharedInstallation&, const SharedEvaluation& evaluation) {
    evaluation_ = base_ = evaluation;
    stale_.clear();
    looking_ = false;
    Q_EMIT evaluated(evaluation);
  });
  keep_.setSingleShot(true);
  keep_.setInterval(kKeepAfter_ms);
  connect(&keep_, &QTimer::timeout, this, &Editing::keep_unsaved);
}

void Editing::open(const SharedInstallation& installation) {
  close();
  installation_ = installation;
  auto document = session::JobDocument::open(*installation);
  if (document)
    document_.emplace(std::move(*document));
  else
    not_editable_ = line_of(document.error());
  Q_EMIT state_changed();
}

void Editing::set_evaluation(const SharedEvaluation& evaluation) {
  if (measurer_->busy() || !stale_.empty()) return;  // edits came first; theirs is on its way
  evaluation_ = base_ = evaluation;
}

void Editing::close() {
  runner_->cancel();
  measurer_->cancel();
  keep_.stop();
  held_.reset();
  document_.reset();
  installation_.reset();
  evaluation_.reset();
  base_.reset();
  stale_.clear();
  not_editable_.clear();
  keeping_failed_ = false;
}

QString Editing::why_not() const {
  if (!installation_) return tr("no job is open");
  if (!document_) return not_editable_;
  if (!base_) return tr("the job is being measured; points can be moved in a moment");
  return {};
}

bool Editing::pick_up(int duct, const duct::PointId& point) {
  if (held_ || !why_not().isEmpty()) return false;
  const auto& ducts = installation_->ducts;
  if (duct < 0 || static_cast<std::size_t>(duct) >= ducts.size()) return false;
  stop_looking();
  held_ = Held{duct, point};
  session::DragOptions options;
  options.step_spacing_mm = kStepSpacing_mm;
  options.release_spacing_mm = 0;  // the window maps all ducts once the job is shown
  options.map_range_mm = kMapRange_mm;
  runner_->start(installation_, base_, ducts[static_cast<std::size_t>(duct)].spec.id, point, options);
  return true;
}

void Editing::drag_to(const Vec3& to_mm) {
  if (held_) runner_->move(to_mm);
}

void Editing::drop() {
  if (held_) runner_->finish();
}

void Editing::cancel_drag() {
  if (!held_) return;
  runner_->cancel();
  held_.reset();
  Q_EMIT drag_over();
}

void Editing::released(const session::DragRelease& release) {
  held_.reset();
  const auto edited = session::apply(document_->job(), release.edit);
  if (edited && edited->job == document_->job()) {  // back where it was
    Q_EMIT drag_over();
    return;
  }
  auto laid_out = edited ? job::with_ducts_of(*installation_, edited->job)
                         : ResultAll<job::Installation>(tl::unexpected(std::vector<Error>{edited.error()}));
  if (!laid_out) {
    Q_EMIT drag_over();
    Q_EMIT complained(tr("The point went back: the duct cannot be made so"), lines_of(laid_out.error()));
    return;
  }
  const auto changed = document_->apply(release.edit);
  if (!changed) {
    Q_EMIT drag_over();
    Q_EMIT complained(tr("The point went back: the place cannot be saved"), {line_of(changed.error())});
    return;
  }
  show_job(*laid_out, *changed, with_clearances(*base_, release));
  Q_EMIT drag_over();
}

void Editing::apply(const session::Edit& edit) {
  if (held_ || !document_) return;
  const auto edited = session::apply(document_->job(), edit);
  if (!edited) {
    Q_EMIT complained(tr("Nothing was changed"), {line_of(edited.error())});
    return;
  }
  if (edited->job == document_->job()) return;
  const auto laid_out = job::with_ducts_of(*installation_, edited->job);
  if (!laid_out) {
    Q_EMIT complained(tr("Nothing was changed: the duct cannot be made so"), lines_of(laid_out.error()));
    return;
  }
  const auto changed = document_->apply(edit);
  if (!changed) {
    Q_EMIT complained(tr("Nothing was changed"), {line_of(changed.error())});
    return;
  }
  show_job(*laid_out, *changed, nullptr);
}

void Editing::move_point(int duct, const duct::PointId& point, const Vec3& to_mm) {
  if (installation_)
    apply(session::MovePoint{installation_->ducts.at(static_cast<std::size_t>(duct)).spec.id, point, to_mm});
}

void Editing::set_radius(int duct, const duct::PointId& point, double radius_mm) {
  if (installation_)
    apply(session::SetBendRadius{installation_->ducts.at(static_cast<std::size_t>(duct)).spec.id, point, radius_mm});
}

void Editing::undo() {
  if (!held_ && document_ && document_->history().can_undo()) go(document_->undo());
}

void Editing::redo() {
  if (!held_ && document_ && document_->history().can_redo()) go(document_->redo());
}

/// To a job that was shown before, so that it can be laid out.
void Editing::go(const std::set<std::string>& changed) {
  const auto laid_out = job::with_ducts_of(*installation_, document_->job());
  if (!laid_out) {
    Q_EMIT complained(tr("The duct cannot be made so"), lines_of(laid_out.error()));
    return;
  }
  show_job(*laid_out, changed, nullptr);
}

void Editing::show_job(const job::Installation& laid_out, const std::set<std::string>& changed,
                       const SharedEvaluation& provisional) {
  installation_ = std::make_shared<const job::Installation>(laid_out);
  base_ = provisional;
  stale_.insert(changed.begin(), changed.end());
  Q_EMIT ducts_changed(installation_);
  looking_ = false;
  measurer_->start(installation_, evaluation_, stale_);
  keep_.start();
  Q_EMIT state_changed();
}

bool Editing::look_for_ways() {
  if (held_ || !installation_ || !evaluation_ || !stale_.empty() || measurer_->busy()) return false;
  looking_ = true;
  measurer_->start(installation_, evaluation_, {}, true);
  Q_EMIT state_changed();
  return true;
}

void Editing::stop_looking() {
  if (!looking()) return;
  looking_ = false;
  measurer_->cancel();
  Q_EMIT state_changed();
}

Result<void> Editing::save(bool over_others) {
  if (!document_) return {};
  auto saved = document_->save(over_others);
  if (saved) keep_.stop();
  Q_EMIT state_changed();
  return saved;
}

void Editing::keep_unsaved() {
  if (!document_) return;
  const auto kept = document_->keep_unsaved();
  if (kept || keeping_failed_) return;
  keeping_failed_ = true;
  Q_EMIT complained(tr("Unsaved changes cannot be kept beside the job; save them yourself"), {line_of(kept.error())});
}

void Editing::take_over(const job::Job& unsaved) {
  if (!document_) return;
  const auto changed = document_->take_over(unsaved);
  if (!changed) {
    Q_EMIT complained(tr("The unsaved changes were not taken over"), {line_of(changed.error())});
    return;
  }
  const auto with_them = job::with_ducts_of(*installation_, document_->job());
  if (!with_them) {
    while (document_->history().can_undo()) document_->undo();
    Q_EMIT complained(tr("The unsaved changes were not taken over: the duct cannot be made so"),
                      lines_of(with_them.error()));
    return;
  }
  show_job(*with_them, *changed, nullptr);
}

void Editing::drop_unsaved() {
  keep_.stop();
  if (document_) document_->drop_unsaved();
}

}  // namespace baywright::viewer
