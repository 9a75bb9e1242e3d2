#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <string_view>

namespace baywright {

/// Progress and cancel of long work. Copying shares the cancel flag. A default one reports nowhere and is never
/// cancelled. `report` may be called from any thread when the sink allows it.
class Progress {
 public:
  using Sink = std::function<void(std::string_view step, double fraction)>;

  Progress() = default;
  explicit Progress(Sink sink) : sink_(std::move(sink)) {}

  /// @param fraction 0..1 of the named step, or negative when unknown.
  void report(std::string_view step, double fraction = -1) const {
    if (sink_) sink_(step, fraction);
  }
  bool cancelled() const { return cancelled_->load(std::memory_order_relaxed); }
  void cancel() const { cancelled_->store(true, std::memory_order_relaxed); }

 private:
  Sink sink_;
  std::shared_ptr<std::atomic<bool>> cancelled_ = std::make_shared<std::atomic<bool>>(false);
};

}  // namespace baywright
