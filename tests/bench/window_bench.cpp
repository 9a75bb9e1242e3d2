// What a person who drags a point waits for: the window over a job, a point moved by mouse events every 16 ms, and the
// time from an event to the picture that shows the duct measured there. Needs a display (a virtual one will do; what
// draws then is the processor).
// usage: window_bench JOB DUCT POINT [MOVES]
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <deque>
#include <filesystem>
#include <functional>
#include <optional>
#include <vector>

#include <QVTKOpenGLNativeWidget.h>
#include <QApplication>
#include <QElapsedTimer>
#include <QMouseEvent>
#include <QSurfaceFormat>

#include <vtkCommand.h>
#include <vtkRenderWindow.h>

#include "viewer/scene/glew_shim.hpp"
#include "viewer/window/bay_view.hpp"
#include "viewer/window/editing.hpp"
#include "viewer/window/main_window.hpp"

namespace {

using namespace baywright;
using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point then) {
  return std::chrono::duration<double, std::milli>(Clock::now() - then).count();
}

void print(const char* what, std::vector<double> values) {
  if (values.empty()) {
    std::printf("%-44s none\n", what);
    return;
  }
  std::sort(values.begin(), values.end());
  const auto at = [&](double share) {
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
  };
  std::printf("%-44s %4zu   median %7.1f   95 %% %7.1f   greatest %7.1f ms\n", what, values.size(), at(0.5), at(0.95),
              values.back());
}

template <class Condition>
void wait_for(Condition done) {
  while (!done()) QCoreApplication::processEvents(QEventLoop::AllEvents, 5);
}

/// Times of frames of a render window.
class Frames : public vtkCommand {
 public:
  static Frames* New() { return new Frames; }
  void Execute(vtkObject*, unsigned long event, void*) override {
    if (event == vtkCommand::StartEvent) start = Clock::now();
    if (event == vtkCommand::EndEvent) {
      ms.push_back(ms_since(start));
      if (drawn) drawn();
    }
  }
  Clock::time_point start;
  std::vector<double> ms;
  std::function<void()> drawn;
};

void mouse(QWidget& to, QEvent::Type type, const QPointF& at) {
  QMouseEvent event(type, at, to.mapToGlobal(at.toPoint()), type == QEvent::MouseMove ? Qt::NoButton : Qt::LeftButton,
                    type == QEvent::MouseButtonRelease ? Qt::NoButton : Qt::LeftButton, Qt::NoModifier);
  QCoreApplication::sendEvent(&to, &event);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 4) {
    std::fprintf(stderr, "usage: window_bench JOB DUCT POINT [MOVES]\n");
    return 2;
  }
  if (std::filesystem::exists(std::filesystem::path(argv[1]) / "job.json.unsaved")) {
    std::fprintf(stderr, "window_bench: the job has unsaved changes, about which the window would ask\n");
    return 2;
  }
  viewer::keep_glew_shim();
  auto format = QVTKOpenGLNativeWidget::defaultFormat();
  format.setSamples(0);
  QSurfaceFormat::setDefaultFormat(format);
  const QApplication app(argc, argv);
  const int moves = argc > 4 ? std::atoi(argv[4]) : 100;
  viewer::MainWindow::Wish wish;
  wish.job = argv[1];
  wish.read.cache = true;
  wish.keep_settings = false;
  viewer::MainWindow window(wish);
  window.resize(1280, 800);
  window.show();
  wait_for([&] { return window.evaluation() && window.editing()->why_not().isEmpty(); });
  viewer::BayView& bay = *window.bay();
  const auto& ducts = window.installation()->ducts;
  const auto duct = std::find_if(ducts.begin(), ducts.end(), [&](const auto& d) { return d.spec.id.value == argv[2]; });
  const auto at = bay.handle_place(static_cast<int>(duct - ducts.begin()), duct::PointId(argv[3]));
  if (duct == ducts.end() || !at) {
    std::fprintf(stderr, "window_bench: there is no such point\n");
    return 2;
  }
  const auto frames = vtkSmartPointer<Frames>::New();
  bay.renderWindow()->AddObserver(vtkCommand::StartEvent, frames);
  bay.renderWindow()->AddObserver(vtkCommand::EndEvent, frames);

  struct Move {
    Clock::time_point when;
    Vec3 to;
  };
  std::deque<Move> open;  // not answered yet
  std::vector<double> answered, shown;
  std::optional<Clock::time_point> to_be_drawn;
  std::size_t refused = 0, skipped = 0;
  const auto answer = [&](const Vec3& to) {
    // The newest move there: the way goes to and fro, and moves that were passed over are answered by none.
    const auto found = std::find_if(open.rbegin(), open.rend(), [&](const Move& move) { return move.to == to; });
    if (found == open.rend()) return;
    answered.push_back(ms_since(found->when));
    if (!to_be_drawn) to_be_drawn = found->when;
    const auto passed = std::distance(open.begin(), found.base());
    skipped += static_cast<std::size_t>(passed) - 1;
    open.erase(open.begin(), open.begin() + passed);
  };
  QObject::connect(&bay, &viewer::BayView::point_dragged, &bay, [&](const Vec3& to) {
    open.push_back({Clock::now(), to});
  });
  QObject::connect(window.editing(), &viewer::Editing::stepped, &bay,
                   [&](const viewer::SharedStep&, const Vec3& to) { answer(to); });
  QObject::connect(window.editing(), &viewer::Editing::refused, &bay, [&](const QString&, const Vec3& to) {
    ++refused;
    answer(to);
  });
  frames->drawn = [&] {
    if (to_be_drawn) shown.push_back(ms_since(*to_be_drawn));
    to_be_drawn.reset();
  };
  constexpr int kPace_ms = 16;
  mouse(bay, QEvent::MouseButtonPress, *at);
  for (int i = 0; i < moves; ++i) {
    const double there = i % 40 < 20 ? i % 20 : 20 - i % 20;  // to and fro, 20 pixels
    mouse(bay, QEvent::MouseMove, *at + QPointF(5 + 0.6 * there, 0.5 * there));
    QElapsedTimer pace;
    pace.start();
    do {
      QCoreApplication::processEvents(QEventLoop::AllEvents, 2);
    } while (pace.elapsed() < kPace_ms);
  }
  wait_for([&] { return open.empty(); });
  const auto drawn_while_moving = frames->ms;
  const auto dropped = Clock::now();
  mouse(bay, QEvent::MouseButtonRelease, *at + QPointF(8, 2));
  wait_for([&] { return !window.editing()->dragging(); });
  const double taken = ms_since(dropped);
  wait_for([&] { return window.evaluation() && !window.editing()->measuring(); });
  std::printf("%s, %s %s: %d moves, every %d ms; refused %zu, passed over %zu\n", argv[1], argv[2], argv[3], moves,
              kPace_ms, refused, skipped);
  print("picture", drawn_while_moving);
  print("move to answer", answered);
  print("move to the picture of its answer", shown);
  std::printf("let go to the edited duct %.0f ms, to the findings %.0f ms\n", taken, ms_since(dropped));
  window.editing()->close();
  return 0;
}
