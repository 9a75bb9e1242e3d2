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
};
/// Demo jobs found beside the program (installed) or in its source tree; those whose files were made.
std::vector<DemoJob> demo_jobs();

/// What is shown while no job is open.
class StartPage : public QWidget {
  Q_OBJECT

 public:
  explicit StartPage(QWidget* parent = nullptr);
  void set_recent(const QStringList& folders);

 Q_SIGNALS:
  void open_wanted();
  void job_chosen(const QString& folder);

 private:
  QVBoxLayout* recent_;
};

}  // namespace baywright::viewer
