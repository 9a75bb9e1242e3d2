// Editing in the window: points that are dragged or typed, undo, saving.

#include <algorithm>
#include <cstdio>

#include <QAction>
#include <QComboBox>
#include <QDateTime>
#include <QFileInfo>
#include <QLabel>
#include <QMessageBox>
#include <QPushButton>
#include <QStackedWidget>
#include <QStatusBar>

#include "access/ways_out.hpp"
#include "viewer/window/bay_view.hpp"
#include "viewer/window/editing.hpp"
#include "viewer/window/findings_panel.hpp"
#include "viewer/window/main_window.hpp"
#include "viewer/window/message_bar.hpp"
#include "viewer/window/motion_panel.hpp"
#include "viewer/window/points_panel.hpp"
#include "viewer/window/strip_view.hpp"

namespace baywright::viewer {

namespace {

constexpr int kNotice_ms = 6000;
constexpr int kSettle_ms = 400;  // layout and pictures after the last change

/// Of two evaluations the findings that are about the same thing.
bool same_subject(const checks::Finding& a, const checks::Finding& b) {
  return a.check == b.check && a.duct == b.duct && a.subject == b.subject && a.part == b.part;
}

}  // namespace

void MainWindow::connect_editing() {
  connect(bay_, &BayView::pick_up_wanted, this, &MainWindow::pick_up);
  connect(bay_, &BayView::point_dragged, editing_, &Editing::drag_to);
  connect(bay_, &BayView::point_dropped, editing_, &Editing::drop);
  connect(bay_, &BayView::point_drag_cancelled, editing_, &Editing::cancel_drag);
  connect(editing_, &Editing::stepped, this, [this](const SharedStep& step, const Vec3& to_mm) {
    bay_->show_step(step, to_mm);
    points_->show_duct(step->duct, installation_->job.units);
    pointed_->setText(QString::fromStdString(step_text(*installation_, editing_->held_point(), *step)));
  });
  connect(editing_, &Editing::refused, this, [this](const QString& why, const Vec3& to_mm) {
    bay_->show_refusal(why, to_mm);
    pointed_->setText(tr("cannot be made: %1").arg(why));
  });
  connect(editing_, &Editing::drag_over, this, [this] {
    bay_->let_point_go();
    pointed_->clear();
    show_points();
    if (!editing_->measuring()) {
      strip_->set_outdated({});
      findings_->setEnabled(true);
    }
    show_edit_state();
  });
  connect(editing_, &Editing::ducts_changed, this, &MainWindow::show_changed_ducts);
  connect(editing_, &Editing::evaluated, this, &MainWindow::show_new_evaluation);
  connect(editing_, &Editing::state_changed, this, &MainWindow::show_edit_state);
  connect(editing_, &Editing::complained, messages_, &MessageBar::say);
}

void MainWindow::connect_points() {
  const auto id = [](const QString& point) { return duct::PointId(point.toStdString()); };
  connect(bay_, &BayView::point_clicked, this, [this, id](int duct, const QString& point) {
    duct_choice_->setCurrentIndex(duct);
    points_->choose(id(point));
    bay_->choose_point(duct, id(point));
  });
  connect(points_, &PointsPanel::point_chosen, this, [this, id](const QString& point) {
    bay_->choose_point(std::max(0, duct_choice_->currentIndex()), id(point));
  });
  connect(points_, &PointsPanel::point_moved, this, [this, id](const QString& point, const Vec3& to_mm) {
    editing_->move_point(std::max(0, duct_choice_->currentIndex()), id(point), to_mm);
  });
  connect(points_, &PointsPanel::radius_set, this, [this, id](const QString& point, double radius_mm) {
    editing_->set_radius(std::max(0, duct_choice_->currentIndex()), id(point), radius_mm);
  });
  connect(points_, &PointsPanel::not_understood, this, [this](const QString& text) { messages_->say(text, {}); });
  connect(strip_, &StripView::station_chosen, this, &MainWindow::go_to_station);
}

void MainWindow::pick_up(int duct, const QString& point) {
  const QString why = editing_->why_not();
  if (!why.isEmpty()) {
    statusBar()->showMessage(why, kNotice_ms);
    return;
  }
  messages_->hide();
  if (!is_at_rest(bay_->shown_pose())) {
    motion_->rest();  // a route is stated at rest
    statusBar()->showMessage(tr("Everything is at rest while a point is moved."), kNotice_ms);
  }
  duct_choice_->setCurrentIndex(duct);
  const duct::PointId id(point.toStdString());
  if (!editing_->pick_up(duct, id)) return;
  points_->choose(id);
  bay_->choose_point(duct, id);
  bay_->hold_point(duct, id);
  strip_->set_outdated(tr("Checked again when the point is let go"));
  findings_->setEnabled(false);
  show_edit_state();
}

void MainWindow::show_changed_ducts(const SharedInstallation& installation) {
  const SharedInstallation before = installation_;  // alive until the view has let go of it
  loader_->cancel();                                // the first measuring, when it still runs, is of other ducts
  if (evaluation_ && chosen_ >= 0) chosen_before_ = evaluation_->findings[static_cast<std::size_t>(chosen_)];
  installation_ = installation;
  evaluation_.reset();
  bay_->show_ducts(*installation);
  update_map();
  findings_->setEnabled(false);
  strip_->show_duct(installation_, evaluation_, std::max(0, duct_choice_->currentIndex()));
  strip_->set_outdated({});
  show_points();
  step_->setText(tr("checking the change"));
  set_busy(true);
}

void MainWindow::show_new_evaluation(const SharedEvaluation& evaluation) {
  if (looking_shown_) tell_ways(*evaluation);
  if (evaluation_ && chosen_ >= 0) chosen_before_ = evaluation_->findings[static_cast<std::size_t>(chosen_)];
  evaluation_ = evaluation;
  set_busy(false);
  chosen_ = -1;
  findings_->setEnabled(true);
  findings_->show_findings(*evaluation, installation_->job.units);
  bay_->show_clamps(*evaluation);
  strip_->show_duct(installation_, evaluation_, std::max(0, duct_choice_->currentIndex()));
  strip_->set_outdated({});
  if (chosen_before_) {
    const auto& all = evaluation->findings;
    const auto same = std::find_if(all.begin(), all.end(),
                                   [this](const checks::Finding& f) { return same_subject(f, *chosen_before_); });
    chosen_before_.reset();
    if (same != all.end()) {
      chosen_ = static_cast<int>(same - all.begin());
      findings_->choose_quietly(chosen_);
      strip_->mark_finding(chosen_);
      bay_->renew_finding(*same);
      motion_->offer_way_back(true);
    }
  }
  enable_job_actions();
  show_edit_state();
}

void MainWindow::show_points() {
  if (!installation_ || installation_->ducts.empty()) {
    points_->clear();
    return;
  }
  const auto duct = static_cast<std::size_t>(std::max(0, duct_choice_->currentIndex()));
  points_->show_duct(installation_->ducts[std::min(duct, installation_->ducts.size() - 1)], installation_->job.units);
}

void MainWindow::show_edit_state() {
  const auto* document = editing_->document();
  const bool free = document != nullptr && !editing_->dragging();
  const auto name = [](const std::string& step) { return QString::fromStdString(step); };
  const bool undo = free && document->history().can_undo(), redo = free && document->history().can_redo();
  undo_->setEnabled(undo);
  redo_->setEnabled(redo);
  undo_->setText(undo ? tr("&Undo: %1").arg(name(document->history().undo_name())) : tr("&Undo"));
  redo_->setText(redo ? tr("&Redo: %1").arg(name(document->history().redo_name())) : tr("&Redo"));
  save_->setEnabled(free && document->unsaved());
  points_->set_locked(installation_ && document == nullptr ? editing_->why_not() : QString());
  setWindowTitle(installation_ ? tr("%1[*] — Baywright").arg(QString::fromStdString(installation_->job.name))
                               : tr("Baywright"));
  setWindowModified(editing_->unsaved());
  const bool looking = editing_->looking();
  ways_->setText(looking ? tr("Stop looking for &ways out") : tr("Look for &ways out"));
  ways_->setEnabled(looking || (evaluation_ && !editing_->dragging() && !editing_->measuring()));
  if (looking_shown_ && !looking && !editing_->measuring()) set_busy(false);
  looking_shown_ = looking;
}

void MainWindow::look_for_ways() {
  if (editing_->looking()) {
    editing_->stop_looking();
    statusBar()->showMessage(tr("Cancelled; no ways out are shown."), kNotice_ms);
    return;
  }
  if (!editing_->look_for_ways()) return;
  step_->setText(tr("looking for ways out of tubes and hoses"));
  set_busy(true);
}

void MainWindow::tell_ways(const checks::Evaluation& evaluation) {
  const auto* ways = evaluation.ducts.empty() ? nullptr : evaluation.ducts.front().measures.ways.get();
  if (ways == nullptr) {
    statusBar()->showMessage(tr("Nothing was looked for; cr.assemble among the findings says why."), kNotice_ms);
    return;
  }
  const auto found = std::count_if(ways->pieces.begin(), ways->pieces.end(), [](const auto& way) { return way.found; });
  statusBar()->showMessage(
      tr("Ways out are known for %1 of %2 pieces: cr.assemble among the findings.").arg(found).arg(ways->pieces.size()),
      kNotice_ms);
}

bool MainWindow::save_job() {
  auto saved = editing_->save(false);
  if (!saved && editing_->document()->changed_on_disk()) {
    QMessageBox box(QMessageBox::Question, tr("The job was changed by somebody else"),
                    tr("%1 is no longer what was read. Write this window's job over it?")
                        .arg(QString::fromStdString(editing_->document()->file().string())),
                    QMessageBox::Cancel, this);
    box.setInformativeText(tr("What the other one wrote is then lost. Unsaved changes are also kept beside the job."));
    auto* over = box.addButton(tr("Write over it"), QMessageBox::DestructiveRole);
    box.exec();
    if (box.clickedButton() != over) return false;
    saved = editing_->save(true);
  }
  if (!saved) {
    messages_->say(tr("The job was not saved"), {QString::fromStdString(to_line(saved.error()))});
    return false;
  }
  statusBar()->showMessage(tr("Saved."), kNotice_ms);
  return true;
}

bool MainWindow::may_leave_job() {
  if (editing_->dragging()) editing_->cancel_drag();
  if (!editing_->unsaved()) return true;
  QMessageBox box(QMessageBox::Question, tr("Unsaved changes"),
                  tr("Save the changes to %1?").arg(QString::fromStdString(installation_->job.name)),
                  QMessageBox::Save | QMessageBox::Discard | QMessageBox::Cancel, this);
  box.setDefaultButton(QMessageBox::Save);
  switch (box.exec()) {
    case QMessageBox::Save:
      return save_job();
    case QMessageBox::Discard:
      editing_->drop_unsaved();
      return true;
    default:
      return false;
  }
}

void MainWindow::ask_for_unsaved() {
  const auto* document = editing_->document();
  const auto left = document != nullptr ? document->left_unsaved() : std::nullopt;
  if (!left) return;
  const QString file = QString::fromStdString(left->file.string());
  if (!left->job) {
    messages_->say(tr("Unsaved changes were kept beside the job, but cannot be read"),
                   {QString::fromStdString(to_line(left->job.error())), file});
    return;
  }
  if (wish_.picture) return;  // nobody is there to be asked; the file stays for the next session
  QMessageBox box(QMessageBox::Question, tr("Unsaved changes were found"),
                  tr("An earlier session ended without saving its changes of %1. Take them over?")
                      .arg(QLocale().toString(QFileInfo(file).lastModified(), QLocale::ShortFormat)),
                  QMessageBox::NoButton, this);
  box.setInformativeText(tr("They are shown and checked, and saved only when you save."));
  auto* take = box.addButton(tr("Take over"), QMessageBox::AcceptRole);
  auto* drop = box.addButton(tr("Throw away"), QMessageBox::DestructiveRole);
  auto* later = box.addButton(tr("Decide later"), QMessageBox::RejectRole);
  box.setDefaultButton(take);
  box.setEscapeButton(later);
  const job::Job changes = *left->job;
  box.exec();
  if (box.clickedButton() == take) editing_->take_over(changes);
  if (box.clickedButton() == drop) editing_->drop_unsaved();
}

void MainWindow::hold_for_picture(int code) {
  const auto& ducts = installation_->ducts;
  const auto hold = *wish_.hold;
  wish_.hold.reset();
  const auto duct = std::find_if(ducts.begin(), ducts.end(), [&](const auto& d) { return d.spec.id == hold.duct; });
  const bool known = duct != ducts.end() && std::any_of(duct->spec.route.points.begin(), duct->spec.route.points.end(),
                                                        [&](const auto& p) { return p.id == hold.point; });
  if (!known) {
    std::fprintf(stderr, "baywright-view: duct %s has no point %s\n", hold.duct.value.c_str(),
                 hold.point.value.c_str());
    fulfil_picture(2);
    return;
  }
  const auto done = [this, code] {
    if (wish_.picture) QTimer::singleShot(kSettle_ms, this, [this, code] { fulfil_picture(code); });
  };
  connect(editing_, &Editing::stepped, this, done);
  connect(editing_, &Editing::refused, this, done);
  if (chosen_ < 0) bay_->fit_ducts();
  pick_up(static_cast<int>(duct - ducts.begin()), QString::fromStdString(hold.point.value));
  bay_->carry_point(hold.at_mm);
}

void MainWindow::go_to_station(int duct, double station_mm) {
  if (!installation_ || duct < 0) return;
  if (chosen_ >= 0) let_go_of_finding();
  bay_->show_station(duct, station_mm);
  enable_job_actions();
}

}  // namespace baywright::viewer
