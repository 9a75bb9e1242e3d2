#pragma once

#include <catch2/catch.hpp>

#include <QApplication>
#include <QElapsedTimer>
#include <QEventLoop>

namespace baywright::test {

/// One for all tests of this program: widgets cannot do without.
inline void need_application() {
  static int count = 3;
  static char name[] = "viewer_test", option[] = "-platform", platform[] = "offscreen";
  static char* arguments[] = {name, option, platform, nullptr};
  static const auto* const application = new QApplication(count, arguments);
  REQUIRE(application != nullptr);
}

/// Lets events happen until `done`, a minute at most; whether it came so far.
template <class Condition>
bool wait_until(Condition done) {
  constexpr qint64 kMost_ms = 60000;
  QElapsedTimer timer;
  timer.start();
  while (!done() && timer.elapsed() < kMost_ms) QCoreApplication::processEvents(QEventLoop::AllEvents, 20);
  return done();
}

}  // namespace baywright::test
