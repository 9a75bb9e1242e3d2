#include "viewer/window/main_window.hpp"

#include <algorithm>
#include <cstdio>

#include <QAction>
#include <QApplication>
#include <QCloseEvent>
#include <QComboBox>
#include <QDockWidget>
#include <QDragEnterEvent>
#include <QFileDialog>
#include <QFileInfo>
#include <QLabel>
#include <QMenuBar>
#include <QMessageBox>
#include <QMimeData>
#include <QProgressBar>
#include <QPushButton>
#include <QScreen>
#include <QSettings>
#include <QSplitter>
#include <QStackedWidget>
#include <QStatusBar>
#include <QTimer>
#include <QVBoxLayout>

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

void MainWindow::build_center() {
  messages_ = new MessageBar(this);
  start_ = new StartPage(this);
  bay_ = new BayView(this);
  strip_ = new StripView(this);
  duct_choice_ = new QComboBox(this);
  duct_choice_->setAccessibleName(tr("Duct shown in the strip"));
  duct_choice_->hide();
  auto* strip = new QWidget(this);
  auto* strip_layout = new QVBoxLayout(strip);
  strip_layout->setContentsMargins(0, 0, 0, 0);
  strip_layout->setSpacing(2);
  strip_layout->addWidget(duct_choice_, 0, Qt::AlignLeft);
  strip_layout->addWidget(strip_, 1);
  auto* split = new QSplitter(Qt::Vertical, this);
  split->addWidget(bay_);
  split->addWidget(strip);
  split->setStretchFactor(0, 4);
  split->setStretchFactor(1, 1);
  split->setCollapsible(0, false);
  pages_ = new QStackedWidget(this);
  loading_ = new LoadingPage(this);
  pages_->addWidget(start_);
  pages_->addWidget(split);
  pages_->addWidget(loading_);
  auto* center = new QWidget(this);
  auto* layout = new QVBoxLayout(center);
  layout->setContentsMargins(0, 0, 0, 0);
  layout->setSpacing(0);
  layout->addWidget(messages_);
  layout->addWidget(pages_, 1);
  setCentralWidget(center);
}

QDockWidget* MainWindow::dock(const char* name, const QString& title, QWidget* content, Qt::DockWidgetArea area) {
  auto* made = new QDockWidget(title, this);
  made->setObjectName(QString::fromLatin1(name));
  made->setWidget(content);
  addDockWidget(area, made);
  return made;
}

void MainWindow::build_docks() {
  findings_ = new FindingsPanel(this);
  parts_ = new PartsPanel(this);
  motion_ = new MotionPanel(this);
  points_ = new PointsPanel(this);
  auto* parts = dock("parts", tr("Parts"), parts_, Qt::LeftDockWidgetArea);
  auto* points = dock("points", tr("Intersection points"), points_, Qt::LeftDockWidgetArea);
  auto* motion = dock("motion", tr("Motion"), motion_, Qt::LeftDockWidgetArea);
  auto* findings = dock("findings", tr("Findings"), findings_, Qt::RightDockWidgetArea);
  resizeDocks({parts, findings}, {270, 660}, Qt::Horizontal);
  resizeDocks({parts, points, motion}, {400, 210, 150}, Qt::Vertical);
  pointed_ = new QLabel(this);
  pointed_->setMinimumWidth(1);  // a long text is cut, it does not widen the window
  pointed_->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
  step_ = new QLabel(this);
  progress_ = new QProgressBar(this);
  progress_->setMaximumWidth(180);
  progress_->setAccessibleName(tr("Progress"));
  cancel_ = new QPushButton(tr("Cancel"), this);
  statusBar()->addWidget(pointed_, 1);
  statusBar()->addPermanentWidget(step_);
  statusBar()->addPermanentWidget(progress_);
  statusBar()->addPermanentWidget(cancel_);
}

void MainWindow::connect_panels() {
  connect(start_, &StartPage::open_wanted, this, &MainWindow::ask_for_job);
  connect(start_, &StartPage::job_chosen, this, [this](const QString& folder) { open_job(folder.toStdString()); });
  connect(findings_, &FindingsPanel::chosen, this, &MainWindow::show_finding);
  connect(parts_, &PartsPanel::part_shown, this, [this](int part, bool shown) {
    bay_->set_part_shown(part, shown);
    if (installation_->bay.parts[static_cast<std::size_t>(part)].part_class == bay::PartClass::bonnet)
      bonnet_->setChecked(shown);
  });
  connect(parts_, &PartsPanel::duct_shown, bay_, &BayView::set_duct_shown);
  connect(bay_, &BayView::posed, this, [this] {
    if (map_->isChecked()) update_map();
  });
  connect(maps_, &MapRunner::measured, this,
          [this](const SharedMaps& maps) { bay_->show_map(*maps, MapRunner::kRange_mm); });
  connect(bay_, &BayView::part_clicked, parts_, &PartsPanel::select_part);
  connect(bay_, &BayView::pointed, pointed_, &QLabel::setText);
  connect(bay_, &BayView::left, this, [this] {
    pointed_->clear();
    strip_->mark_station(std::nullopt);
  });
  connect(bay_, &BayView::station_pointed, this, [this](int duct, double station_mm) {
    if (duct == duct_choice_->currentIndex()) strip_->mark_station(station_mm);
  });
  connect(motion_, &MotionPanel::posed, this, [this](const PosedState& state) {
    bay_->set_pose(state);
    motion_->offer_way_back(chosen_ >= 0);
  });
  connect(motion_, &MotionPanel::way_back_wanted, this, &MainWindow::pose_of_finding);
  connect(loading_, &LoadingPage::cancel_wanted, loader_, &Loader::cancel);
  connect(strip_, &StripView::pointed, this,
          [this](int duct, double station_mm) { bay_->mark_station(std::pair(duct, station_mm)); });
  connect(strip_, &StripView::left, this, [this] { bay_->mark_station(std::nullopt); });
  connect(strip_, &StripView::finding_chosen, findings_, &FindingsPanel::choose);
  connect(duct_choice_, qOverload<int>(&QComboBox::currentIndexChanged), this, [this](int duct) {
    if (duct < 0) return;
    strip_->show_duct(installation_, evaluation_, duct);
    show_points();
  });
}

void MainWindow::connect_loader() {
  connect(cancel_, &QPushButton::clicked, loader_, &Loader::cancel);
  connect(loader_, &Loader::progressed, this, [this](const QString& step, double fraction) {
    step_->setText(step);
    progress_->setRange(0, fraction < 0 ? 0 : 100);
    if (fraction >= 0) progress_->setValue(static_cast<int>(100 * fraction));
    loading_->show_step(step, fraction);
  });
  connect(loader_, &Loader::opened, this, &MainWindow::show_installation);
  connect(loader_, &Loader::measured, this, &MainWindow::show_evaluation);
  connect(loader_, &Loader::failed, this, &MainWindow::show_failure);
  connect(loader_, &Loader::cancelled, this, [this] {
    set_busy(false);
    const bool reading = pages_->currentWidget() == loading_;
    leave_loading_page();
    statusBar()->showMessage(reading ? tr("Cancelled.") : tr("Cancelled; the job is shown unmeasured."), 6000);
    if (reading) wanted_ = folder_;
  });
}

void MainWindow::ask_for_job() {
  const QString start = folder_.isEmpty() ? QString() : QFileInfo(folder_).absolutePath();
  const QString folder = QFileDialog::getExistingDirectory(this, tr("Open a job folder"), start);
  if (!folder.isEmpty()) open_job(folder.toStdString());
}

void MainWindow::open_job(const std::filesystem::path& folder) {
  if (!may_leave_job()) return;
  messages_->hide();
  wanted_ = QFileInfo(QString::fromStdString(folder.string())).absoluteFilePath();
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
  for (auto* action : {fit_, fit_ducts_, bonnet_, stations_, map_, points_shown_})
    action->setEnabled(installation_ != nullptr);
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
