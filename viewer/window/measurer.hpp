#pragma once

#include <QObject>

#include <condition_variable>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <thread>

#include "viewer/window/loader.hpp"

namespace baywright::viewer {

/// Runs every check on an edited job in a thread of its own. The newest request wins: answers to older ones do not
/// arrive. No call waits for the work.
class Measurer : public QObject {
  Q_OBJECT

 public:
  explicit Measurer(QObject* parent = nullptr);
  ~Measurer() override;
  /// @param previous  of the job before; ducts that are not in `changed` are taken over from it. Null: all are
  /// measured.
  /// @param ways_out  whether ways out of the pieces are looked for too, which takes seconds and more
  void start(const SharedInstallation& installation, const SharedEvaluation& previous,
             const std::set<std::string>& changed, bool ways_out = false);
  void cancel();
  bool busy() const { return busy_; }

 Q_SIGNALS:
  void measured(const baywright::viewer::SharedInstallation& installation,
                const baywright::viewer::SharedEvaluation& evaluation);

 private:
  struct Order {
    SharedInstallation installation;
    SharedEvaluation previous;
    std::set<std::string> changed;
    bool ways_out = false;
    Progress progress;
    int run = 0;
  };
  void work();

  std::thread thread_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::optional<Order> order_;  ///< guarded by mutex_
  bool quit_ = false;           ///< guarded by mutex_
  // Of the owner's thread only.
  Progress progress_;
  int run_ = 0;
  bool busy_ = false;
};

}  // namespace baywright::viewer
