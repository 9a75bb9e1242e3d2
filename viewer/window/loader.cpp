#include "viewer/window/loader.hpp"

#include <chrono>

#include <QMetaObject>

#include "session/evaluate.hpp"

namespace baywright::viewer {

Loader::Loader(QObject* parent) : QObject(parent) {}

Loader::~Loader() {
  let_go();
  for (auto& thread : threads_) thread.join();
}

/// Asks the work to stop and takes no more from it; does not wait, so that the window never does.
void Loader::let_go() {
  progress_.cancel();
  ++run_;
  busy_ = false;
}

void Loader::cancel() {
  if (!busy_) return;
  let_go();
  Q_EMIT cancelled();
}

void Loader::start(const std::filesystem::path& job, const job::ReadOptions& options) {
  let_go();
  busy_ = true;
  const int run_number = run_;
  // Reports come far faster than a bar can be read.
  auto last = std::make_shared<std::atomic<std::int64_t>>(0);
  progress_ = Progress([this, run_number, last](std::string_view step, double fraction) {
    using namespace std::chrono;
    const auto now = duration_cast<milliseconds>(steady_clock::now().time_since_epoch()).count();
    auto before = last->load();
    if (now - before < 50 || !last->compare_exchange_strong(before, now)) return;
    const QString text = QString::fromUtf8(step.data(), static_cast<int>(step.size()));
    QMetaObject::invokeMethod(
        this,
        [this, run_number, text, fraction] {
          if (run_number == run_) Q_EMIT progressed(text, fraction);
        },
        Qt::QueuedConnection);
  });
  threads_.emplace_back(
      [this, job, options, progress = progress_, run_number] { run(job, options, progress, run_number); });
}

void Loader::run(const std::filesystem::path& job, const job::ReadOptions& options, const Progress& progress,
                 int run_number) {
  const auto deliver = [this, run_number](auto action) {
    QMetaObject::invokeMethod(
        this,
        [this, run_number, action] {
          if (run_number == run_) action();
        },
        Qt::QueuedConnection);
  };
  const auto fail_with = [&](const QString& headline, const QStringList& lines) {
    deliver([this, headline, lines] {
      busy_ = false;
      Q_EMIT failed(headline, lines);
    });
  };
  auto read = job::open_job(job, progress, options);
  if (!read) {
    QStringList lines;
    for (const auto& error : read.error()) lines << QString::fromStdString(to_line(error));
    fail_with(tr("%1 could not be opened").arg(QString::fromStdString(job.string())), lines);
    return;
  }
  const SharedInstallation installation = std::make_shared<const job::Installation>(std::move(*read));
  // Made here, not where it is shown: millions of triangles take seconds.
  const SharedDrawings drawings = std::make_shared<const PartDrawings>(draw_parts(installation->bay, progress));
  if (progress.cancelled()) return;
  deliver([this, installation, drawings] { Q_EMIT opened(installation, drawings); });
  auto result = session::evaluate(*installation, nullptr, {}, progress, session::kFindingsAlone);
  if (!result) {
    if (result.error().code != ErrorCode::cancelled)
      fail_with(tr("The job was read but could not be measured"), {QString::fromStdString(to_line(result.error()))});
    return;
  }
  // The evaluation may point into nothing of the installation; both are plain values.
  const SharedEvaluation evaluation = std::make_shared<const checks::Evaluation>(std::move(*result));
  deliver([this, evaluation] {
    busy_ = false;
    Q_EMIT measured(evaluation);
  });
}

}  // namespace baywright::viewer
