#pragma once

#include <QWidget>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

class QVBoxLayout;

namespace baywright::viewer {

/// A job that comes with the program.
struct DemoJob {
  std::string name;
  std::filesystem::path folder;
  bool made = false;  ///< the files of its parts are there; else `baywright demo` makes them, elsewhere
};
/// Demo jobs below a folder, by name.
std::vector<DemoJob> demo_jobs(const std::filesystem::path& models);
/// Those beside the program where it is installed, or in its source tree.
std::vector<DemoJob> demo_jobs_of_program();

/// What is shown while no job is open.
class StartPage : public QWidget {
  Q_OBJECT

 public:
  explicit StartPage(QWidget* parent = nullptr, const std::vector<DemoJob>& demos = demo_jobs_of_program());
  void set_recent(const QStringList& folders);

 Q_SIGNALS:
  void open_wanted();
  void job_chosen(const QString& folder);

 private:
  /// A button for each demo that can be opened, and how to make those that cannot.
  void add_demos(QVBoxLayout* layout, const std::vector<DemoJob>& demos);

  QVBoxLayout* recent_;
};

}  // namespace baywright::viewer
