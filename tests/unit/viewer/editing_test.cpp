// Editing without a display: a window over a small job, driven by mouse and keys, beside a fresh check of the job.

#include <catch2/catch.hpp>

#include <QAction>
#include <QMouseEvent>
#include <QTableWidget>

#include "access/ways_out.hpp"
#include "job/job_file.hpp"
#include "session/evaluate.hpp"
#include "tests/support/plain_job.hpp"
#include "tests/unit/viewer/application.hpp"
#include "viewer/window/bay_view.hpp"
#include "viewer/window/editing.hpp"
#include "viewer/window/main_window.hpp"
#include "viewer/window/points_panel.hpp"

using namespace baywright;
using test::need_application;
using test::wait_until;
using viewer::MainWindow;

namespace {

class EditedFolder : public test::JobFolder {
 public:
  explicit EditedFolder(const std::string& name) : test::JobFolder("editing_test", name) { test::put_plain_job(*this); }
  std::string text() const { return *read_file(path / "job.json"); }
};

const duct::PointId kP2("P2");

/// A window in which the job is open and measured.
struct Opened {
  explicit Opened(const EditedFolder& folder) : window(wish(folder)) {
    window.resize(1280, 800);
    window.show();
    REQUIRE(wait_until([this] { return settled(); }));
  }
  static MainWindow::Wish wish(const EditedFolder& folder) {
    MainWindow::Wish wish;
    wish.job = folder.path;
    wish.keep_settings = false;
    return wish;
  }
  bool settled() const {
    return window.evaluation() && !window.editing()->measuring() && !window.editing()->dragging() &&
           window.editing()->why_not().isEmpty();
  }
  viewer::BayView& bay() { return *window.bay(); }
  Vec3 place() const { return window.installation()->job.ducts[0].route.points[2].p_mm; }
  ~Opened() {
    if (window.editing()->dragging()) window.editing()->cancel_drag();
    window.editing()->close();  // asks nothing
  }

  void mouse(QEvent::Type type, const QPointF& at, Qt::KeyboardModifiers modifiers = Qt::NoModifier) {
    const bool move = type == QEvent::MouseMove;
    QMouseEvent event(type, at, bay().mapToGlobal(at.toPoint()), move ? Qt::NoButton : Qt::LeftButton,
                      type == QEvent::MouseButtonRelease ? Qt::NoButton : Qt::LeftButton, modifiers);
    QCoreApplication::sendEvent(&bay(), &event);
  }
  void key(int code) {
    QKeyEvent event(QEvent::KeyPress, code, Qt::NoModifier);
    QCoreApplication::sendEvent(&bay(), &event);
  }
  QAction* action(const QString& start) const {
    for (auto* one : window.findChildren<QAction*>())
      if (one->text().remove(QLatin1Char('&')).startsWith(start)) return one;
    return nullptr;
  }

  MainWindow window;
};

/// Everything the findings say is what a check of the same job from its files says, but for what a window does not wait
/// for: whole charts of clamps and ways out.
void check_like_fresh(const MainWindow& window, const EditedFolder& folder) {
  EditedFolder other(folder.path.filename().string() + "-fresh");
  other.put("job.json", job::write_job(window.installation()->job));
  const auto opened = test::opened(other);
  const auto fresh = session::evaluate(opened, nullptr, {}, {}, session::kFindingsAlone);
  REQUIRE(fresh);
  const auto& shown = *window.evaluation();
  REQUIRE(shown.findings.size() == fresh->findings.size());
  for (std::size_t i = 0; i < shown.findings.size(); ++i) {
    const auto &a = shown.findings[i], &b = fresh->findings[i];
    CAPTURE(a.check, a.subject);
    CHECK(a.check == b.check);
    CHECK(a.subject == b.subject);
    CHECK(a.verdict == b.verdict);
    const auto *m = std::get_if<measure::Measured>(&a.outcome), *n = std::get_if<measure::Measured>(&b.outcome);
    REQUIRE((m == nullptr) == (n == nullptr));
    if (m == nullptr) continue;
    CHECK(m->lo == n->lo);
    CHECK(m->hi == n->hi);
  }
}

}  // namespace

TEST_CASE("Ways out are looked for when they are asked for, and an edit lets them go", "[editing]") {
  need_application();
  const EditedFolder folder("ways");
  Opened o(folder);
  const auto ways = [&] { return o.window.evaluation()->ducts[0].measures.ways; };
  QAction* look = o.action("Look for ways out");
  REQUIRE(look);
  REQUIRE(wait_until([&] { return look->isEnabled(); }));
  CHECK(ways() == nullptr);
  look->trigger();
  CHECK(o.window.editing()->looking());
  CHECK(look->text().remove(QLatin1Char('&')) == "Stop looking for ways out");
  REQUIRE(wait_until([&] { return !o.window.editing()->looking(); }));
  REQUIRE(wait_until([&] { return ways() != nullptr; }));
  const auto found = session::evaluate(*o.window.installation());
  REQUIRE(found);
  const auto& all = *found->ducts[0].measures.ways;
  REQUIRE(ways()->pieces.size() == all.pieces.size());
  for (std::size_t i = 0; i < all.pieces.size(); ++i) {
    CHECK(ways()->pieces[i].found == all.pieces[i].found);
    CHECK(ways()->pieces[i].open == all.pieces[i].open);
  }
  o.window.editing()->set_radius(0, duct::PointId("P1"), 100);
  REQUIRE(wait_until([&] { return o.settled(); }));
  CHECK(ways() == nullptr);

  REQUIRE(wait_until([&] { return look->isEnabled(); }));
  look->trigger();
  look->trigger();  // stops it
  CHECK_FALSE(o.window.editing()->looking());
  CHECK(look->isEnabled());
  CHECK(ways() == nullptr);
}

TEST_CASE("A point dragged with the mouse becomes an edit, checked like a job that was written so", "[editing]") {
  need_application();
  const EditedFolder folder("drag");
  Opened o(folder);
  const Vec3 before = o.place();
  const auto at = o.bay().handle_place(0, kP2);
  REQUIRE(at);
  std::vector<Vec3> steps;
  viewer::SharedStep last;
  QObject::connect(o.window.editing(), &viewer::Editing::stepped, &o.window,
                   [&](const viewer::SharedStep& step, const Vec3& to) {
                     steps.push_back(to);
                     last = step;
                   });
  o.mouse(QEvent::MouseButtonPress, *at + QPointF(6, -5));  // beside it, within its reach
  for (int i = 1; i <= 5; ++i) o.mouse(QEvent::MouseMove, *at + QPointF(6 + 3 * i, -5 - i));
  CHECK(o.bay().holds_point());
  CHECK(o.window.editing()->dragging());
  REQUIRE(wait_until([&] { return !steps.empty(); }));
  o.mouse(QEvent::MouseButtonRelease, *at + QPointF(21, -10));
  REQUIRE(wait_until([&] { return o.settled(); }));
  const Vec3 to = o.place();
  CHECK(to != before);
  CHECK(steps.back() == to);  // the last place wins
  // What was said while dragging is what the job now gives.
  REQUIRE(last);
  CHECK(last->duct.spec == o.window.installation()->ducts[0].spec);
  check_like_fresh(o.window, folder);
  CHECK(o.window.isWindowModified());
  CHECK(folder.text() == test::kPlainJob);  // nothing is written unasked
  REQUIRE(o.action("Undo: move point P2") != nullptr);
  o.action("Undo: move point P2")->trigger();
  REQUIRE(wait_until([&] { return o.settled(); }));
  CHECK(o.place() == before);
  CHECK_FALSE(o.window.isWindowModified());
  check_like_fresh(o.window, folder);
  o.action("Redo")->trigger();
  REQUIRE(wait_until([&] { return o.settled(); }));
  CHECK(o.place() == to);
  o.action("Save the job")->trigger();
  CHECK_FALSE(o.window.isWindowModified());
  const auto written = job::read_job(folder.text(), "job.json");
  REQUIRE(written);
  CHECK(*written == o.window.installation()->job);
}

TEST_CASE("Esc puts a dragged point back", "[editing]") {
  need_application();
  const EditedFolder folder("cancel");
  Opened o(folder);
  const Vec3 before = o.place();
  const auto at = *o.bay().handle_place(0, kP2);
  o.mouse(QEvent::MouseButtonPress, at);
  o.mouse(QEvent::MouseMove, at + QPointF(20, 10));
  REQUIRE(o.bay().holds_point());
  o.key(Qt::Key_Escape);
  CHECK_FALSE(o.bay().holds_point());
  CHECK_FALSE(o.window.editing()->dragging());
  o.mouse(QEvent::MouseMove, at + QPointF(30, 10));
  o.mouse(QEvent::MouseButtonRelease, at + QPointF(30, 10));
  CHECK(o.place() == before);
  CHECK_FALSE(o.window.isWindowModified());
  CHECK(o.settled());
}

TEST_CASE("A point held to an axis changes one coordinate", "[editing]") {
  need_application();
  const EditedFolder folder("axis");
  Opened o(folder);
  const Vec3 before = o.place();
  const auto at = *o.bay().handle_place(0, kP2);
  o.mouse(QEvent::MouseButtonPress, at);
  o.mouse(QEvent::MouseMove, at + QPointF(8, -10));
  o.key(Qt::Key_Z);
  o.mouse(QEvent::MouseMove, at + QPointF(10, -12));
  o.mouse(QEvent::MouseButtonRelease, at + QPointF(10, -12));
  REQUIRE(wait_until([&] { return o.settled(); }));
  CHECK(o.place().head<2>() == before.head<2>());
  CHECK(o.place().z() > before.z());
}

TEST_CASE("Where the duct cannot be made the reason is told, and the point goes back when it is let go", "[editing]") {
  need_application();
  const EditedFolder folder("refused");
  Opened o(folder);
  const Vec3 before = o.place();
  const auto at = *o.bay().handle_place(0, kP2);
  QString why;
  bool over = false;
  QObject::connect(o.window.editing(), &viewer::Editing::refused, &o.window, [&](const QString& text) { why = text; });
  QObject::connect(o.window.editing(), &viewer::Editing::drag_over, &o.window, [&] { over = true; });
  o.mouse(QEvent::MouseButtonPress, at);
  o.mouse(QEvent::MouseMove, at + QPointF(0, 10));
  // Back along x beyond P1: the legs are far too short for so sharp a turn.
  o.key(Qt::Key_X);
  const QPointF far = at + QPointF(500, 0);
  o.mouse(QEvent::MouseMove, far);
  REQUIRE(wait_until([&] { return !why.isEmpty(); }));
  CHECK(why.contains("P1"));
  o.mouse(QEvent::MouseButtonRelease, far);
  REQUIRE(wait_until([&] { return over; }));
  CHECK(o.place() == before);
  CHECK_FALSE(o.window.isWindowModified());
}

TEST_CASE("A press beside every handle turns the camera; an end at its port stays", "[editing]") {
  need_application();
  const EditedFolder folder("beside");
  Opened o(folder);
  const auto at = *o.bay().handle_place(0, duct::PointId("P0"));
  o.mouse(QEvent::MouseButtonPress, at);
  o.mouse(QEvent::MouseMove, at + QPointF(40, 10));
  CHECK_FALSE(o.bay().holds_point());
  o.mouse(QEvent::MouseButtonRelease, at + QPointF(40, 10));
  CHECK(*o.bay().handle_place(0, duct::PointId("P0")) == at);
  const auto before = *o.bay().handle_place(0, kP2);
  const QPointF free(5, 5);
  o.mouse(QEvent::MouseButtonPress, free);
  o.mouse(QEvent::MouseMove, free + QPointF(60, 0));
  o.mouse(QEvent::MouseButtonRelease, free + QPointF(60, 0));
  CHECK(*o.bay().handle_place(0, kP2) != before);
  CHECK_FALSE(o.window.isWindowModified());
}

TEST_CASE("Typed places and radii are edits; what is no length, or makes no duct, changes nothing", "[editing]") {
  need_application();
  const EditedFolder folder("typed");
  Opened o(folder);
  auto* table = o.window.findChild<viewer::PointsPanel*>()->findChild<QTableWidget*>();
  using Panel = viewer::PointsPanel;
  REQUIRE(table->rowCount() == 5);
  CHECK_FALSE(table->item(0, Panel::x)->flags() & Qt::ItemIsEditable);  // an end
  CHECK_FALSE(table->item(1, Panel::y)->flags() & Qt::ItemIsEditable);  // its neighbour, along x
  CHECK(table->item(1, Panel::x)->flags() & Qt::ItemIsEditable);
  table->item(2, Panel::z)->setText("1 1/2 in");
  REQUIRE(wait_until([&] { return o.settled(); }));
  CHECK(o.place().z() == Approx(38.1));
  check_like_fresh(o.window, folder);
  table->item(2, Panel::radius)->setText("80");
  REQUIRE(wait_until([&] { return o.settled(); }));
  CHECK(o.window.installation()->job.ducts[0].route.points[2].bend_radius_mm == 80);
  const auto before = o.window.installation()->job;
  table->item(2, Panel::x)->setText("wide");
  table->item(3, Panel::radius)->setText("5000");  // too large for its legs
  table->item(3, Panel::radius)->setText(table->item(3, Panel::radius)->text());
  CHECK(o.window.installation()->job == before);
  CHECK(table->item(3, Panel::radius)->text() == "90.0");
}
