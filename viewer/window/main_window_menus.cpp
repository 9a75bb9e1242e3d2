// Menus, tool bar and keys of the window; what they start stands in main_window.cpp.

#include <QAction>
#include <QDockWidget>
#include <QMenuBar>
#include <QToolBar>

#include "viewer/window/bay_view.hpp"
#include "viewer/window/editing.hpp"
#include "viewer/window/findings_panel.hpp"
#include "viewer/window/main_window.hpp"
#include "viewer/window/motion_panel.hpp"

namespace baywright::viewer {

void MainWindow::build_menus() {
  auto* file = menuBar()->addMenu(tr("&File"));
  open_ = file->addAction(tr("&Open a job folder…"), this, &MainWindow::ask_for_job, QKeySequence::Open);
  recent_menu_ = file->addMenu(tr("Open &recent"));
  again_ = file->addAction(
      tr("Read the job &again"), this,
      [this] {
        if (!wanted_.isEmpty()) open_job(wanted_.toStdString());
      },
      QKeySequence::Refresh);
  save_ = file->addAction(
      tr("&Save the job"), this, [this] { save_job(); }, QKeySequence::Save);
  job_actions_ << file->addAction(tr("&Close the job"), this, &MainWindow::close_job, QKeySequence::Close);
  file->addSeparator();
  job_actions_ << file->addAction(tr("Save the view as a &picture…"), this, &MainWindow::save_picture,
                                  QKeySequence(tr("Ctrl+Shift+P")));
  file->addSeparator();
  file->addAction(tr("&Quit"), this, &QWidget::close, QKeySequence::Quit);
  build_edit_menu();
  build_view_menu();
  auto* motion = menuBar()->addMenu(tr("&Motion"));
  job_actions_ << motion->addAction(tr("&Rest"), motion_, &MotionPanel::rest, QKeySequence(Qt::Key_R));
  job_actions_ << motion->addAction(tr("The &finding's pose"), this, &MainWindow::pose_of_finding,
                                    QKeySequence(Qt::Key_W));
  // The key belongs to the bay alone: elsewhere Space presses buttons and ticks boxes.
  job_actions_ << motion->addAction(tr("&Play or stop\tSpace"), motion_, &MotionPanel::toggle_play);
  auto* checks = menuBar()->addMenu(tr("&Checks"));
  ways_ =
      checks->addAction(tr("Look for &ways out"), this, &MainWindow::look_for_ways, QKeySequence(tr("Ctrl+Shift+W")));
  auto* help = menuBar()->addMenu(tr("&Help"));
  help_action_ = help->addAction(tr("&Mouse and keys"), this, &MainWindow::help, QKeySequence(Qt::Key_F1));
  help->addAction(tr("&About Baywright"), this, &MainWindow::about);
}

void MainWindow::build_edit_menu() {
  auto* edit = menuBar()->addMenu(tr("&Edit"));
  undo_ = edit->addAction(tr("&Undo"), editing_, &Editing::undo, QKeySequence(tr("Ctrl+Z")));
  redo_ = edit->addAction(tr("&Redo"), editing_, &Editing::redo);
  redo_->setShortcuts({QKeySequence(tr("Ctrl+Shift+Z")), QKeySequence(tr("Ctrl+Y"))});
}

void MainWindow::build_view_menu() {
  view_menu_ = menuBar()->addMenu(tr("&View"));
  fit_ = view_menu_->addAction(tr("Fit the &bay"), bay_, &BayView::fit, QKeySequence(Qt::Key_F));
  fit_ducts_ = view_menu_->addAction(tr("Fit the &ducts"), bay_, &BayView::fit_ducts, QKeySequence(tr("Shift+F")));
  view_menu_->addSeparator();
  struct Direction {
    QString name;
    Vec3 toward;
    int key;
  };
  const std::vector<Direction> directions = {{tr("From the &left"), Vec3::UnitY(), Qt::Key_1},
                                             {tr("From the &right"), -Vec3::UnitY(), Qt::Key_2},
                                             {tr("From the &front"), Vec3::UnitX(), Qt::Key_3},
                                             {tr("From the rea&r"), -Vec3::UnitX(), Qt::Key_4},
                                             {tr("From &above"), Vec3::UnitZ(), Qt::Key_5},
                                             {tr("From b&elow"), -Vec3::UnitZ(), Qt::Key_6},
                                             {tr("&Oblique, from front left"), Vec3(0.75, 0.55, 0.62), Qt::Key_7},
                                             {tr("O&blique, from front right"), Vec3(0.75, -0.55, 0.62), Qt::Key_8}};
  for (const auto& one : directions) {
    const Vec3 toward = one.toward;
    job_actions_ << view_menu_->addAction(
        one.name, this, [this, toward] { bay_->look_from(toward); }, QKeySequence(one.key));
  }
  view_menu_->addSeparator();
  bonnet_ = view_menu_->addAction(tr("B&onnet"));
  bonnet_->setCheckable(true);
  bonnet_->setShortcut(QKeySequence(Qt::Key_B));
  connect(bonnet_, &QAction::triggered, this, &MainWindow::show_bonnet);
  stations_ = view_menu_->addAction(tr("&Stations along the ducts"));
  stations_->setCheckable(true);
  stations_->setChecked(true);
  stations_->setShortcut(QKeySequence(Qt::Key_S));
  connect(stations_, &QAction::toggled, bay_, &BayView::set_stations_shown);
  points_shown_ = view_menu_->addAction(tr("&Intersection points"));
  points_shown_->setCheckable(true);
  points_shown_->setChecked(true);
  points_shown_->setShortcut(QKeySequence(Qt::Key_P));
  connect(points_shown_, &QAction::toggled, bay_, &BayView::set_points_shown);
  map_ = view_menu_->addAction(tr("&Clearance as colour"));
  map_->setCheckable(true);
  map_->setShortcut(QKeySequence(Qt::Key_C));
  connect(map_, &QAction::toggled, this, &MainWindow::update_map);
  job_actions_ << fit_ << fit_ducts_ << bonnet_ << stations_ << points_shown_ << map_;
  let_go_ = view_menu_->addAction(tr("Let go of the &finding"), this, &MainWindow::let_go_of_finding,
                                  QKeySequence(Qt::Key_Escape));
  view_menu_->addSeparator();
  for (auto* one : findChildren<QDockWidget*>()) view_menu_->addAction(one->toggleViewAction());
  view_menu_->addAction(tr("Reset the la&yout"), this, [this] { restoreState(first_layout_); });
}

void MainWindow::build_tool_bar() {
  auto* bar = addToolBar(tr("Tools"));
  bar->setObjectName(QStringLiteral("tools"));
  bar->setMovable(false);
  bar->setToolButtonStyle(Qt::ToolButtonTextOnly);
  const auto put = [&](QAction* action, const QString& text, const QString& tip) {
    action->setIconText(text);
    action->setToolTip(tip);
    bar->addAction(action);
  };
  put(open_, tr("Open…"), tr("Open a job folder (Ctrl+O)"));
  put(save_, tr("Save"), tr("Write the changes back into the job (Ctrl+S)"));
  bar->addSeparator();
  put(undo_, tr("Undo"), tr("Take the last change back (Ctrl+Z)"));
  put(redo_, tr("Redo"), tr("Bring it back again (Ctrl+Shift+Z)"));
  bar->addSeparator();
  put(fit_, tr("Fit the bay"), tr("Show everything (F)"));
  put(fit_ducts_, tr("Fit the ducts"), tr("Show the ducts (Shift+F)"));
  bar->addSeparator();
  put(bonnet_, tr("Bonnet"), tr("Show the bonnet, or set it aside so that the duct is seen (B)"));
  put(stations_, tr("Stations"), tr("Stations along the ducts (S)"));
  put(points_shown_, tr("Points"), tr("Intersection points to take hold of (P)"));
  put(map_, tr("Clearance"), tr("Colour the ducts by what is nearest to them, at the pose shown (C)"));
  bar->addSeparator();
  put(let_go_, tr("Let go"), tr("Let go of the chosen finding (Esc)"));
  put(help_action_, tr("Help"), tr("Mouse and keys (F1)"));
  view_menu_->insertAction(view_menu_->actions().last(), bar->toggleViewAction());
}

void MainWindow::build_bay_keys() {
  const auto key = [&](int code, auto action) {
    auto* made = new QAction(this);
    made->setShortcut(QKeySequence(code));
    made->setShortcutContext(Qt::WidgetShortcut);
    connect(made, &QAction::triggered, this, action);
    bay_->addAction(made);
  };
  constexpr int kStep_percent = 5;
  key(Qt::Key_Up, [this] { findings_->step(-1); });
  key(Qt::Key_Down, [this] { findings_->step(1); });
  key(Qt::Key_Left, [this] { motion_->step(-kStep_percent); });
  key(Qt::Key_Right, [this] { motion_->step(kStep_percent); });
  key(Qt::Key_Space, [this] { motion_->toggle_play(); });
}

}  // namespace baywright::viewer
