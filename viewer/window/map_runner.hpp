#pragma once

#include <QObject>

#include <memory>
#include <thread>
#include <vector>

#include "geometry/base/progress.hpp"
#include "measure/surface_map.hpp"
#include "viewer/window/loader.hpp"

namespace baywright::viewer {

using SharedMaps = std::shared_ptr<const std::vector<measure::SurfaceMap>>;

/// Measures the clearance over the surface of every duct at a pose, in a thread of its own. The newest request wins:
/// answers to older ones do not arrive.
class MapRunner : public QObject {
  Q_OBJECT

 public:
  static constexpr double kRange_mm = 50;  ///< what the colours tell apart

  explicit MapRunner(QObject* parent = nullptr);
  ~MapRunner() override;
  void start(const SharedInstallation& installation, const PosedState& state);
  void cancel();

 Q_SIGNALS:
  void measured(const baywright::viewer::SharedMaps& maps);

 private:
  std::thread thread_;
  Progress progress_;
  SharedMaps last_;  ///< tells the next one where to look first
  SharedInstallation of_;
  int run_ = 0;
};

}  // namespace baywright::viewer
