// The panels without a display: what they say to the window when somebody uses them.

#include <catch2/catch.hpp>

#include <QApplication>
#include <QLineEdit>
#include <QSlider>
#include <QTableView>
#include <QTextBrowser>
#include <QToolButton>
#include <QTreeWidget>

#include "tests/unit/viewer/application.hpp"
#include "tests/unit/viewer/small_bay.hpp"
#include "viewer/scene/posed.hpp"
#include "viewer/window/findings_panel.hpp"
#include "viewer/window/motion_panel.hpp"
#include "viewer/window/parts_panel.hpp"

using namespace baywright;
using test::need_application;
using viewer::FindingsPanel;
using viewer::MotionPanel;
using viewer::PartsPanel;

namespace {

checks::Finding finding(const char* subject, checks::Verdict verdict) {
  checks::Finding f;
  f.check = "cl.rest";
  f.title = "Clearance at rest";
  f.subject = subject;
  f.verdict = verdict;
  f.outcome = measure::Measured::exact(5, Unit::mm);
  return f;
}

checks::Evaluation three() {
  checks::Evaluation evaluation;
  evaluation.findings = {finding("tube 1 - cover", checks::Verdict::not_met),
                         finding("tube 2 - fan", checks::Verdict::undecided),
                         finding("tube 3 - battery", checks::Verdict::met)};
  evaluation.summary = checks::summarize(evaluation.findings);
  return evaluation;
}

}  // namespace

TEST_CASE("Findings: chosen by number and by steps, each said once", "[viewer]") {
  need_application();
  FindingsPanel panel;
  std::vector<int> said;
  QObject::connect(&panel, &FindingsPanel::chosen, &panel, [&](int number) { said.push_back(number); });
  panel.step(1);  // an empty list
  CHECK(said.empty());
  panel.show_findings(three(), {});
  CHECK(said.empty());
  CHECK(panel.choose(1));
  CHECK_FALSE(panel.choose(3));
  CHECK_FALSE(panel.choose(-1));
  panel.step(1);
  panel.step(1);  // the end of the list
  panel.step(-1);
  CHECK(said == std::vector<int>{1, 2, 1});
  panel.let_go();
  CHECK(said.size() == 3);
  panel.step(1);  // from the start
  CHECK(said.back() == 0);
}

TEST_CASE("Findings: filtering chooses nothing, and the chosen one comes back with its row", "[viewer]") {
  need_application();
  FindingsPanel panel;
  panel.show_findings(three(), {});
  REQUIRE(panel.choose(0));
  int said = 0;
  QObject::connect(&panel, &FindingsPanel::chosen, &panel, [&] { ++said; });
  auto* words = panel.findChild<QLineEdit*>();
  auto* table = panel.findChild<QTableView*>();
  REQUIRE(words != nullptr);
  REQUIRE(table != nullptr);
  words->setText("fan");
  CHECK(table->model()->rowCount() == 1);
  CHECK_FALSE(table->currentIndex().isValid());
  words->clear();
  CHECK(table->currentIndex().row() == 0);
  panel.findChild<QToolButton*>()->setChecked(true);  // open ones only
  CHECK(table->model()->rowCount() == 2);
  CHECK(said == 0);
}

TEST_CASE("Findings: nothing of verdict, place, value or limit lies beyond the right edge", "[viewer]") {
  need_application();
  FindingsPanel panel;
  auto evaluation = three();
  evaluation.findings[0].subject = "coupler hump-2 - Turbine, bearing housing, exhaust manifold, downpipe";
  panel.show();
  panel.show_findings(evaluation, {});
  auto* table = panel.findChild<QTableView*>();
  for (const int wide : {520, 640}) {
    panel.resize(wide, 600);
    QApplication::processEvents();
    int right = 0;
    for (int c = 0; c <= viewer::FindingsModel::limit; ++c) right += table->columnWidth(c);
    INFO(wide);
    CHECK(right <= table->viewport()->width());
    CHECK(table->columnWidth(viewer::FindingsModel::measured) > 0);
  }
  // The long text has the lines it needs.
  QApplication::processEvents();
  INFO(table->columnWidth(viewer::FindingsModel::subject));
  CHECK(table->rowHeight(0) > table->rowHeight(1));
}

TEST_CASE("Motion: a slider's share of the load case, named; following a pose says nothing", "[viewer]") {
  need_application();
  const auto in = test::small_bay(4);
  MotionPanel panel;
  std::vector<PosedState> said;
  QObject::connect(&panel, &MotionPanel::posed, &panel, [&](const PosedState& state) { said.push_back(state); });
  panel.step(5);  // nothing moves yet
  CHECK(said.empty());
  panel.show_motions(in.bay);
  panel.step(5);
  REQUIRE(said.size() == 1);
  const double to = in.bay.bodies[1].motion.members()[0].to[0];
  REQUIRE(said[0].bodies[1].q.size() == 1);
  CHECK(said[0].bodies[1].q[0] == Approx(0.05 * to));
  CHECK(said[0].bodies[0].member < 0);
  PosedState half;
  half.bodies = {BodyState{}, BodyState{0, {0.5 * to}}};
  panel.follow(half, "engine: forward torque at 50 %");
  CHECK(said.size() == 1);
  CHECK(panel.findChild<QSlider*>()->value() == 50);
  panel.rest();
  REQUIRE(said.size() == 2);
  CHECK(said[1].bodies[1].member < 0);
}

TEST_CASE("Findings: what would help stands before how the number came about", "[viewer]") {
  need_application();
  FindingsPanel panel;
  auto evaluation = three();
  evaluation.findings[0].hint = "move the tube";
  auto& value = std::get<measure::Measured>(evaluation.findings[0].outcome);
  value.band.add({"scan", Contribution::Kind::expanded, 1, 1, ""});
  panel.show_findings(evaluation, {});
  REQUIRE(panel.choose(0));
  const QString text = panel.findChild<QTextBrowser*>()->toPlainText();
  REQUIRE(text.contains("move the tube"));
  CHECK(text.indexOf("move the tube") > text.indexOf("Measured"));
  CHECK(text.indexOf("move the tube") < text.indexOf("from scan"));
}

TEST_CASE("Parts: the class has a column where there is room, and the tool tip always", "[viewer]") {
  need_application();
  PartsPanel panel;
  panel.show();
  panel.show_parts(test::small_bay(4));
  auto* tree = panel.findChild<QTreeWidget*>();
  REQUIRE(tree != nullptr);
  for (const int wide : {600, 130}) {
    panel.resize(wide, 400);
    QApplication::processEvents();
    INFO(wide);
    CHECK(tree->isColumnHidden(1) == (wide == 130));
    CHECK(tree->columnWidth(0) <= tree->viewport()->width());
  }
  CHECK(tree->topLevelItem(1)->child(0)->toolTip(0).contains("class: "));
}

TEST_CASE("Parts: set aside and shown again from outside, said only when it changes", "[viewer]") {
  need_application();
  const auto in = test::small_bay(4);
  PartsPanel panel;
  panel.show_parts(in);
  std::vector<std::pair<int, bool>> said;
  QObject::connect(&panel, &PartsPanel::part_shown, &panel,
                   [&](int part, bool shown) { said.emplace_back(part, shown); });
  const int bonnet = viewer::find_part(in, bay::PartId("bonnet"));
  panel.set_part_shown(bonnet, false);
  panel.set_part_shown(bonnet, false);
  panel.set_part_shown(-1, false);
  panel.set_part_shown(bonnet, true);
  CHECK(said == std::vector<std::pair<int, bool>>{{bonnet, false}, {bonnet, true}});
}
