#pragma once

#include <Message_ProgressIndicator.hxx>
#include <Message_ProgressScope.hxx>

#include "geometry/base/progress.hpp"

// Only for .cpp files of geometry.

namespace baywright::occt {

/// Lets the kernel ask whether the user wants to stop.
class KernelProgress : public Message_ProgressIndicator {
  DEFINE_STANDARD_RTTI_INLINE(KernelProgress, Message_ProgressIndicator)
 public:
  explicit KernelProgress(Progress progress) : progress_(std::move(progress)) {}
  Standard_Boolean UserBreak() override { return progress_.cancelled(); }
  void Show(const Message_ProgressScope& /*scope*/, const Standard_Boolean /*force*/) override {
    progress_.report("reading shapes", GetPosition());
  }

 private:
  Progress progress_;
};

}  // namespace baywright::occt
