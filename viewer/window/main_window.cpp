#include "viewer/window/main_window.hpp"

#include <algorithm>
#include <cstdio>

#include <QAction>
#include <QApplication>
#include <QCloseEvent>
#include <QComboBox>
#include <QDir>
#include <QFileDialog>
#include <QFileInfo>
#include <QLabel>
#include <QMessageBox>
#include <QProgressBar>
#include <QPushButton>
#include <QScreen>
#include <QSettings>
#include <QStackedWidget>
#include <QStatusBar>
#include <QTimer>

#include "viewer/window/bay_view.hpp"
#include "viewer/window/editing.hpp"
#include "viewer/window/findings_panel.hpp"
#include "viewer/window/help_page.hpp"
#include "viewer/window/loading_page.hpp"
#include "viewer/window/map_runner.hpp"
#include "viewer/window/message_bar.hpp"
#include "viewer/window/motion_panel.hpp"
#include "viewer/window/parts_panel.hpp"
#include "viewer/window/points_panel.hpp"
#include "viewer/window/start_page.hpp"
#include "viewer/window/strip_view.hpp"

namespace baywright::viewer {

namespace {

constexpr int kSettleTime_ms = 400;  // layout, first frame and second frame after the last change

}  // namespace

MainWindow::MainWindow(Wish wish)
    : wish_(std::move(wish)), loader_(new Loader(this)), maps_(new MapRunner(this)), editing_(new Editing(this)) {
  setWindowTitle(tr("Baywright"));
  resize(QSize(1560, 940).boundedTo(QGuiApplication::primaryScreen()->availableSize()));
  setAcceptDrops(true);
  setDockOptions(AnimatedDocks | AllowNestedDocks | AllowTabbedDocks);
  build_center();
  build_docks();
  build_menus();
  build_tool_bar();
  build_bay_keys();
  connect_panels();
  connect_loader();
  connect_editing();
  connect_points();
  first_layout_ = saveState();
  if (wish_.keep_settings) {
    QSettings settings;
    restoreGeometry(settings.value(QStringLiteral("window/geometry")).toByteArray());
    restoreState(settings.value(QStringLiteral("window/state")).toByteArray());
  }
  fill_recent();
  enable_job_actions();
  show_edit_state();
  set_busy(false);
  if (wish_.job)
    QTimer::singleShot(0, this, [this] { open_job(*wish_.job); });
  else if (wish_.picture)
    QTimer::singleShot(kSettleTime_ms, this, [this] { fulfil_picture(0); });
}

MainWindow::~MainWindow() {
  // The view draws from the installation: it goes first.
  bay_->clear();
}

void MainWindow::ask_for_job() {
  const QString start = folder_.isEmpty() ? QString() : QFileInfo(folder_).absolutePath();
  const QString folder = QFileDialog::getExistingDirectory(this, tr("Open a job folder"), start);
  if (!folder.isEmpty()) open_job(folder.toStdString());
}

void MainWindow::open_job(const std::filesystem::path& folder) {
  if (!may_leave_job()) return;
  messages_->hide();
  wanted_ = QDir::cleanPath(QFileInfo(QString::fromStdString(folder.string())).absoluteFilePath());
  loading_->start(wanted_);
  pages_->setCurrentWidget(loading_);
  enable_job_actions();
  set_busy(true);
  loader_->start(wanted_.toStdString(), wish_.read);
}

void MainWindow::leave_loading_page() {
  loading_->stop();
  if (installation_)
    pages_->setCurrentIndex(1);
  else
    pages_->setCurrentWidget(start_);
  enable_job_actions();
}

void MainWindow::close_job() {
  if (!may_leave_job()) return;
  loader_->cancel();
  editing_->close();
  maps_->cancel();
  bay_->clear();
  strip_->clear();
  findings_->clear();
  parts_->clear();
  motion_->clear();
  points_->clear();
  duct_choice_->clear();
  installation_.reset();
  opened_.reset();
  evaluation_.reset();
  folder_.clear();
  wanted_.clear();
  chosen_ = -1;
  messages_->hide();
  show_edit_state();
  pages_->setCurrentWidget(start_);
  enable_job_actions();
  fill_recent();
}

void MainWindow::enable_job_actions() {
  for (auto* action : job_actions_) action->setEnabled(installation_ != nullptr);
  again_->setEnabled(!wanted_.isEmpty());
  let_go_->setEnabled(chosen_ >= 0 || bay_->cut_open() || pages_->currentWidget() == loading_);
}

void MainWindow::show_installation(const SharedInstallation& installation, const SharedDrawings& drawings) {
  const SharedInstallation before = installation_;  // alive until the view has let go of it
  installation_ = opened_ = installation;
  evaluation_.reset();
  chosen_before_.reset();
  folder_ = wanted_;
  chosen_ = -1;
  findings_->clear();
  leave_loading_page();
  step_->setText(tr("measuring"));
  set_busy(true);
  bay_->show_bay(*installation, *drawings);
  update_map();
  parts_->show_parts(*installation);
  bonnet_->setVisible(std::any_of(installation->bay.parts.begin(), installation->bay.parts.end(),
                                  [](const auto& part) { return part.part_class == bay::PartClass::bonnet; }));
  show_bonnet(false);
  motion_->show_motions(installation->bay);
  duct_choice_->clear();
  for (const auto& duct : installation->ducts)
    duct_choice_->addItem(QString::fromStdString(duct.spec.name.empty() ? duct.spec.id.value : duct.spec.name));
  duct_choice_->setVisible(installation->ducts.size() > 1);
  strip_->show_duct(installation_, evaluation_, 0);
  editing_->open(installation);
  show_points();
  remember(folder_);
  QStringList lines;
  for (const auto& warning : installation->warnings) lines << QString::fromStdString(warning);
  for (const auto& note : installation->notes) lines << QString::fromStdString(note);
  if (!lines.empty()) messages_->say(tr("The job was read, with remarks"), lines);
  ask_for_unsaved();
}

void MainWindow::show_evaluation(const SharedEvaluation& evaluation) {
  editing_->set_evaluation(evaluation);
  evaluation_ = evaluation;
  show_edit_state();
  set_busy(false);
  findings_->show_findings(*evaluation, installation_->job.units);
  bay_->show_clamps(*evaluation);
  strip_->show_duct(installation_, evaluation_, std::max(0, duct_choice_->currentIndex()));
  int code = 0;
  if (wish_.finding) {
    if (!findings_->choose(*wish_.finding - 1)) {
      std::fprintf(stderr, "baywright-view: there is no finding %d; the list has %zu\n", *wish_.finding,
                   evaluation->findings.size());
      code = 2;
    }
    wish_.finding.reset();
  }
  if (!wish_.picture) return;
  if (wish_.hold)
    hold_for_picture(code);
  else
    QTimer::singleShot(kSettleTime_ms, this, [this, code] { fulfil_picture(code); });
}

void MainWindow::show_bonnet(bool shown) {
  if (!installation_) return;
  bonnet_->setChecked(shown);
  const auto& parts = installation_->bay.parts;
  for (std::size_t i = 0; i < parts.size(); ++i)
    if (parts[i].part_class == bay::PartClass::bonnet) parts_->set_part_shown(static_cast<int>(i), shown);
}

void MainWindow::update_map() {
  bay_->hide_map();
  if (installation_ && map_->isChecked()) {
    maps_->start(installation_, bay_->shown_pose());
  } else {
    maps_->cancel();
    bay_->redraw();
  }
}

void MainWindow::let_go_of_finding() {
  if (pages_->currentWidget() == loading_) {
    loader_->cancel();
    return;
  }
  chosen_ = -1;
  enable_job_actions();
  findings_->let_go();
  strip_->mark_finding(-1);
  motion_->offer_way_back(false);
  chosen_before_.reset();
  bay_->forget_finding();
  bay_->redraw();
  enable_job_actions();
}

void MainWindow::pose_of_finding() {
  if (chosen_ < 0 || !evaluation_) return;
  const auto* measured =
      std::get_if<measure::Measured>(&evaluation_->findings[static_cast<std::size_t>(chosen_)].outcome);
  if (measured == nullptr) return;
  const PosedState state = measured->pose.value_or(PosedState{});
  motion_->follow(state, QString::fromStdString(measured->pose_name));
  bay_->set_pose(state);
  motion_->offer_way_back(false);
}

void MainWindow::show_finding(int number) {
  if (!evaluation_ || static_cast<std::size_t>(number) >= evaluation_->findings.size()) return;
  chosen_ = number;
  enable_job_actions();
  motion_->offer_way_back(false);
  const auto& finding = evaluation_->findings[static_cast<std::size_t>(number)];
  for (int d = 0; d < static_cast<int>(installation_->ducts.size()); ++d)
    if (installation_->ducts[static_cast<std::size_t>(d)].spec.id == finding.duct) duct_choice_->setCurrentIndex(d);
  strip_->mark_finding(number);
  if (!bay_->show_finding(finding)) {
    statusBar()->showMessage(tr("This finding has no single place in the bay."), 4000);
    return;
  }
  const auto& measured = std::get<measure::Measured>(finding.outcome);
  motion_->follow(measured.pose.value_or(PosedState{}), QString::fromStdString(measured.pose_name));
  if (finding.part)
    for (std::size_t i = 0; i < installation_->bay.parts.size(); ++i)
      if (installation_->bay.parts[i].id == *finding.part) parts_->select_part(static_cast<int>(i));
}

void MainWindow::show_failure(const QString& headline, const QStringList& lines) {
  set_busy(false);
  leave_loading_page();
  messages_->say(headline, lines);
  if (!wish_.picture) return;
  for (const auto& line : lines) std::fprintf(stderr, "%s\n", line.toUtf8().constData());
  QTimer::singleShot(kSettleTime_ms, this, [this] { fulfil_picture(2); });
}

void MainWindow::set_busy(bool busy) {
  // While a job is read the loading page tells it; afterwards, while it is measured, the status bar.
  const bool small = busy && pages_->currentWidget() != loading_;
  step_->setVisible(small);
  progress_->setVisible(small);
  cancel_->setVisible(small);
  if (busy) progress_->setRange(0, 0);
}

void MainWindow::help() {
  if (help_ == nullptr) help_ = new HelpPage(this);
  help_->show();
  help_->raise();
  help_->activateWindow();
}

void MainWindow::about() {
  QMessageBox::about(
      this, tr("About Baywright"),
      tr("<h3>Baywright</h3><p>Checks the geometry of an installation and estimates its flow. It does not "
         "replace the engine supplier's sheet, local rules or licensed practice.</p><p>Built on Qt, VTK, Open "
         "CASCADE, Eigen, oneTBB, nlohmann/json, tl::expected and CLI11, each under its own licence.</p>"));
}

void MainWindow::closeEvent(QCloseEvent* event) {
  if (!may_leave_job()) {
    event->ignore();
    return;
  }
  loader_->cancel();
  if (wish_.keep_settings) {
    QSettings settings;
    settings.setValue(QStringLiteral("window/geometry"), saveGeometry());
    settings.setValue(QStringLiteral("window/state"), saveState());
  }
  QMainWindow::closeEvent(event);
}

}  // namespace baywright::viewer
