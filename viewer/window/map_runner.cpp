#include "viewer/window/map_runner.hpp"

#include <QMetaObject>

namespace baywright::viewer {
namespace {

constexpr double kSpacing_mm = 5;

}  // namespace

MapRunner::MapRunner(QObject* parent) : QObject(parent) {}

MapRunner::~MapRunner() { cancel(); }

void MapRunner::cancel() {
  ++run_;
  progress_.cancel();
  if (thread_.joinable()) thread_.join();  // it stops within a block of points
}

void MapRunner::start(const SharedInstallation& installation, const PosedState& state) {
  cancel();
  if (of_ != installation) last_.reset();
  of_ = installation;
  progress_ = Progress();
  const int run = run_;
  thread_ = std::thread([this, installation, state, run, progress = progress_, before = last_] {
    std::vector<measure::SurfaceMap> maps;
    for (std::size_t i = 0; i < installation->ducts.size(); ++i) {
      measure::SurfaceMapOptions options;
      options.spacing_mm = kSpacing_mm;
      options.range_mm = kRange_mm;
      options.pose = state;
      maps.push_back(measure::surface_map(installation->bay, installation->ducts[i], options,
                                          before ? &before->at(i) : nullptr, progress));
      if (progress.cancelled()) return;
    }
    const SharedMaps done = std::make_shared<const std::vector<measure::SurfaceMap>>(std::move(maps));
    QMetaObject::invokeMethod(
        this,
        [this, run, done] {
          if (run != run_) return;
          last_ = done;
          Q_EMIT measured(done);
        },
        Qt::QueuedConnection);
  });
}

}  // namespace baywright::viewer
