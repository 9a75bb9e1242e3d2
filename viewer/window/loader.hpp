#pragma once

#include <QObject>
#include <QStringList>

#include <filesystem>
#include <memory>
#include <thread>
#include <vector>

#include "checks/evaluation.hpp"
#include "geometry/base/progress.hpp"
#include "job/assemble.hpp"
#include "viewer/scene/part_drawings.hpp"

namespace baywright::viewer {

using SharedInstallation = std::shared_ptr<const job::Installation>;
using SharedDrawings = std::shared_ptr<const PartDrawings>;
using SharedEvaluation = std::shared_ptr<const checks::Evaluation>;

/// Reads and measures a job in a thread of its own. Signals arrive in the thread that owns the loader; those of a
/// job that was cancelled or replaced do not arrive at all.
class Loader : public QObject {
  Q_OBJECT

 public:
  explicit Loader(QObject* parent = nullptr);
  ~Loader() override;
  /// Cancels what is running and starts anew.
  void start(const std::filesystem::path& job, const job::ReadOptions& options = {});
  void cancel();
  bool busy() const { return busy_; }

 Q_SIGNALS:
  void progressed(const QString& step, double fraction);  ///< fraction 0..1, negative when unknown
  void opened(const baywright::viewer::SharedInstallation& installation,
              const baywright::viewer::SharedDrawings& drawings);
  void measured(const baywright::viewer::SharedEvaluation& evaluation);
  void failed(const QString& headline, const QStringList& lines);
  void cancelled();

 private:
  void let_go();
  void run(const std::filesystem::path& job, const job::ReadOptions& options, const Progress& progress, int run);

  std::vector<std::thread> threads_;  ///< the last one works; those before it are winding down after a cancel
  Progress progress_;
  int run_ = 0;  ///< counts starts; deliveries of older runs are dropped. Touched by the owner's thread only
  bool busy_ = false;
};

}  // namespace baywright::viewer
