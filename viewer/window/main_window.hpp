#pragma once

#include <QList>
#include <QMainWindow>

#include <filesystem>
#include <optional>

#include "viewer/window/loader.hpp"

class QAction;
class QComboBox;
class QDockWidget;
class QLabel;
class QProgressBar;
class QPushButton;
class QStackedWidget;

namespace baywright::viewer {

class BayView;
class Editing;
class FindingsPanel;
class HelpPage;
class LoadingPage;
class MapRunner;
class MessageBar;
class MotionPanel;
class PartsPanel;
class PointsPanel;
class StartPage;
class StripView;

/// The window over one job: bay, strip, findings; parts and motion beside them. It shows and forwards; every number
/// comes from the session.
class MainWindow : public QMainWindow {
  Q_OBJECT

 public:
  /// What the command line asked for.
  struct Wish {
    std::optional<std::filesystem::path> job;
    job::ReadOptions read;       ///< holds for every job opened in this window
    std::optional<int> finding;  ///< number in the list, 1-based
    /// A point to be held at a place when the picture is saved, for documents.
    struct Hold {
      duct::DuctId duct;
      duct::PointId point;
      Vec3 at_mm;
    };
    std::optional<Hold> hold;
    std::optional<std::filesystem::path> picture;  ///< save the window as PNG when all is shown, then quit
    bool keep_settings = true;                     ///< remember layout and recent jobs
  };
  explicit MainWindow(Wish wish);
  ~MainWindow() override;

  /// Asks first when changes would be lost.
  void open_job(const std::filesystem::path& folder);
  BayView* bay() const { return bay_; }
  Editing* editing() const { return editing_; }
  const SharedInstallation& installation() const { return installation_; }
  const SharedEvaluation& evaluation() const { return evaluation_; }  ///< null while it is being measured

 protected:
  void closeEvent(QCloseEvent* event) override;
  void dragEnterEvent(QDragEnterEvent* event) override;
  void dropEvent(QDropEvent* event) override;

 private:
  void build_center();
  void build_docks();
  void build_menus();
  void build_edit_menu();
  void build_view_menu();
  void build_tool_bar();
  void build_bay_keys();
  void connect_panels();
  void connect_loader();
  void connect_editing();
  void connect_points();

  // main_window_edit.cpp
  /// False: the user wants to go on with the changes.
  bool may_leave_job();
  bool save_job();
  void ask_for_unsaved();
  void show_edit_state();
  /// Starts it, or ends it where it is under way.
  void look_for_ways();
  void tell_ways(const checks::Evaluation& evaluation);
  void pick_up(int duct, const QString& point);
  void show_changed_ducts(const SharedInstallation& installation);
  void show_new_evaluation(const SharedEvaluation& evaluation);
  void show_points();
  void hold_for_picture(int code);
  void go_to_station(int duct, double station_mm);
  QDockWidget* dock(const char* name, const QString& title, QWidget* content, Qt::DockWidgetArea area);

  void ask_for_job();
  void close_job();
  void show_installation(const SharedInstallation& installation, const SharedDrawings& drawings);
  void show_evaluation(const SharedEvaluation& evaluation);
  void show_finding(int number);
  void let_go_of_finding();
  void enable_job_actions();
  void pose_of_finding();
  void show_bonnet(bool shown);
  /// Measures the colours of the ducts anew, or takes them away.
  void update_map();
  /// The page behind the loading page: the open job, or the start.
  void leave_loading_page();
  void show_failure(const QString& headline, const QStringList& lines);
  void remember(const QString& folder);
  QStringList recent() const;
  void fill_recent();
  void set_busy(bool busy);
  void save_picture();
  /// Saves the window for the command line once everything had time to be drawn.
  void fulfil_picture(int code);
  void help();
  void about();

  Wish wish_;
  Loader* loader_;
  MapRunner* maps_;
  Editing* editing_;
  SharedInstallation installation_;
  SharedInstallation opened_;  ///< as it was read; the motion panel speaks of its bay
  SharedEvaluation evaluation_;
  std::optional<checks::Finding> chosen_before_;  ///< while it is being measured again
  QString folder_;                                ///< of the job shown
  QString wanted_;                                ///< of the job being opened, or that could not be
  int chosen_ = -1;                               ///< finding, number in the worst-first order

  QStackedWidget* pages_ = nullptr;
  StartPage* start_ = nullptr;
  LoadingPage* loading_ = nullptr;
  HelpPage* help_ = nullptr;
  BayView* bay_ = nullptr;
  StripView* strip_ = nullptr;
  QComboBox* duct_choice_ = nullptr;
  MessageBar* messages_ = nullptr;
  FindingsPanel* findings_ = nullptr;
  PartsPanel* parts_ = nullptr;
  MotionPanel* motion_ = nullptr;
  PointsPanel* points_ = nullptr;
  QMenu* recent_menu_ = nullptr;
  QMenu* view_menu_ = nullptr;
  QAction *open_ = nullptr, *fit_ = nullptr, *fit_ducts_ = nullptr, *bonnet_ = nullptr, *stations_ = nullptr,
          *map_ = nullptr, *points_shown_ = nullptr;
  QAction *save_ = nullptr, *undo_ = nullptr, *redo_ = nullptr, *ways_ = nullptr;
  bool looking_shown_ = false;  ///< the status bar tells that ways out are looked for
  QAction *let_go_ = nullptr, *help_action_ = nullptr, *again_ = nullptr;
  QList<QAction*> job_actions_;  ///< mean nothing while no job is open
  QByteArray first_layout_;

  QLabel* pointed_ = nullptr;
  QLabel* step_ = nullptr;
  QProgressBar* progress_ = nullptr;
  QPushButton* cancel_ = nullptr;
};

}  // namespace baywright::viewer
