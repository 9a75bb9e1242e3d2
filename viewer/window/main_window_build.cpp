// What the window is made of, and what tells what in it.

#include <algorithm>

#include <QAction>
#include <QComboBox>
#include <QDockWidget>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QSplitter>
#include <QStackedWidget>
#include <QStatusBar>
#include <QVBoxLayout>

#include "viewer/window/bay_view.hpp"
#include "viewer/window/editing.hpp"
#include "viewer/window/findings_panel.hpp"
#include "viewer/window/loading_page.hpp"
#include "viewer/window/main_window.hpp"
#include "viewer/window/map_runner.hpp"
#include "viewer/window/message_bar.hpp"
#include "viewer/window/motion_panel.hpp"
#include "viewer/window/parts_panel.hpp"
#include "viewer/window/points_panel.hpp"
#include "viewer/window/start_page.hpp"
#include "viewer/window/strip_view.hpp"

namespace baywright::viewer {

namespace {

constexpr int kLeastCenter_px = 400;

}  // namespace

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
  // The strip begins with room for the pressures too, where that leaves enough for the bay.
  constexpr int kTall = 900, kStrip = 200, kStripWithPressures = 254, kBars = 86;
  const int strip_height = height() >= kTall ? kStripWithPressures : kStrip;
  split->setSizes({height() - kBars - strip_height, strip_height});
  split->setCollapsible(0, false);
  pages_ = new QStackedWidget(this);
  loading_ = new LoadingPage(this);
  pages_->addWidget(start_);
  pages_->addWidget(split);
  pages_->addWidget(loading_);
  auto* center = new QWidget(this);
  center->setMinimumWidth(
      kLeastCenter_px);  // less than the pages ask for: on a small screen the findings need room too
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
  // The bay keeps a good third of a small screen; a large one is the bay's.
  const int wide = width();
  resizeDocks({parts, findings}, {std::clamp(wide * 18 / 100, 225, 290), std::clamp(wide * 42 / 100, 420, 700)},
              Qt::Horizontal);
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
  connect(cancel_, &QPushButton::clicked, editing_, &Editing::stop_looking);
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

}  // namespace baywright::viewer
