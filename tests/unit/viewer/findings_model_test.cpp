#include "viewer/window/findings_model.hpp"

#include <catch2/catch.hpp>

#include <limits>

using namespace baywright;
using viewer::FindingsFilter;
using viewer::FindingsModel;

namespace {

checks::Finding finding(const char* check, checks::Verdict verdict, double value, double limit, double u) {
  checks::Finding f;
  f.check = check;
  f.title = std::string("title of ") + check;
  f.subject = "tube 1 - rocker cover";
  f.verdict = verdict;
  auto m = measure::Measured::exact(value, Unit::mm);
  if (u > 0) m.band.add({"scan uncertainty", Contribution::Kind::expanded, u, u, ""});
  f.outcome = m;
  f.limit = checks::Limit{checks::Comparison::at_least, limit, Unit::mm, {}};
  return f;
}

checks::Finding open_finding() {
  checks::Finding f;
  f.check = "fl.total";
  f.verdict = checks::Verdict::not_checked;
  f.outcome = measure::NotAssessed{"no rated air flow is given", {"flow"}};
  return f;
}

QString cell(const QAbstractItemModel& model, int row, int column) {
  return model.index(row, column).data().toString();
}

}  // namespace

TEST_CASE("A model without findings has its headings", "[viewer]") {
  FindingsModel model;
  CHECK(model.rowCount() == 0);
  CHECK(model.columnCount() == FindingsModel::column_count);
  CHECK(model.headerData(FindingsModel::limit, Qt::Horizontal, Qt::DisplayRole).toString() == "Limit");
}

TEST_CASE("A row says verdict by sign and word, value, uncertainty, limit and margin", "[viewer]") {
  FindingsModel model;
  model.set({finding("cl.rest", checks::Verdict::not_met, 5.25, 20, 2), open_finding()}, {});
  CHECK(cell(model, 0, FindingsModel::verdict) == QString::fromUtf8("✗ not met"));
  CHECK(cell(model, 0, FindingsModel::measured) == QString::fromStdString(format(5.25, Unit::mm, {})));
  CHECK(cell(model, 0, FindingsModel::plus_minus) ==
        QString::fromUtf8("± ") + QString::fromStdString(format_number(2, Unit::mm, {})));
  CHECK(cell(model, 0, FindingsModel::limit) ==
        QString::fromUtf8("≥ ") + QString::fromStdString(format(20, Unit::mm, {})));
  CHECK(cell(model, 1, FindingsModel::measured) == QString::fromUtf8("–"));
  CHECK(model.index(1, 0).data(Qt::ToolTipRole).toString().contains("no rated air flow"));
}

TEST_CASE("A clearance beyond what was looked at shows its lower end, never infinity", "[viewer]") {
  FindingsModel model;
  auto far = finding("cl.rest", checks::Verdict::met, 60, 20, 2);
  std::get<measure::Measured>(far.outcome).hi = std::numeric_limits<double>::infinity();
  model.set({far, finding("b", checks::Verdict::met, 70, 20, 2)}, {});
  CHECK(cell(model, 0, FindingsModel::measured) == "> " + QString::fromStdString(format(60, Unit::mm, {})));
  CHECK(cell(model, 0, FindingsModel::plus_minus) ==
        QString::fromUtf8("± ") + QString::fromStdString(format_number(2, Unit::mm, {})));
  CHECK(model.index(0, FindingsModel::measured).data(FindingsModel::kSortRole).toDouble() == 60);
  for (int c = 0; c < FindingsModel::column_count; ++c)
    CHECK_FALSE(cell(model, 0, c).contains("inf ", Qt::CaseInsensitive));
}

TEST_CASE("Values follow the job's units", "[viewer]") {
  FindingsModel model;
  DisplayUnits inch;
  inch.length = LengthUnit::inch;
  model.set({finding("cl.rest", checks::Verdict::met, 25.4, 12.7, 0)}, inch);
  CHECK(cell(model, 0, FindingsModel::measured) == QString::fromStdString(format(25.4, Unit::mm, inch)));
}

TEST_CASE("Numbers sort as numbers, missing ones last; the verdict column gives back the worst-first order",
          "[viewer]") {
  FindingsModel model;
  model.set({finding("a", checks::Verdict::not_met, 9, 20, 0), open_finding(),
             finding("c", checks::Verdict::met, 100, 20, 0), finding("d", checks::Verdict::met, 30, 20, 0)},
            {});
  FindingsFilter filter;
  filter.setSourceModel(&model);
  filter.sort(FindingsModel::measured);
  CHECK(cell(filter, 0, FindingsModel::check) == "a");
  CHECK(cell(filter, 1, FindingsModel::check) == "d");
  CHECK(cell(filter, 2, FindingsModel::check) == "c");
  CHECK(cell(filter, 3, FindingsModel::check) == "fl.total");
  filter.sort(FindingsModel::verdict);
  CHECK(cell(filter, 1, FindingsModel::check) == "fl.total");
}

TEST_CASE("The filter wants all words anywhere in the row and can hide verdicts", "[viewer]") {
  FindingsModel model;
  model.set({finding("a", checks::Verdict::not_met, 9, 20, 0), open_finding()}, {});
  FindingsFilter filter;
  filter.setSourceModel(&model);
  filter.set_words("ROCKER tube");
  CHECK(filter.rowCount() == 1);
  filter.set_words("rocker nowhere");
  CHECK(filter.rowCount() == 0);
  filter.set_words("");
  filter.set_hidden(checks::Verdict::not_met, true);
  CHECK(filter.rowCount() == 1);
  filter.set_hidden(checks::Verdict::not_met, false);
  CHECK(filter.rowCount() == 2);
}

TEST_CASE("Copied rows are tab-separated, with a heading, each row once", "[viewer]") {
  FindingsModel model;
  model.set({finding("a", checks::Verdict::not_met, 9, 20, 0), open_finding()}, {});
  const QModelIndexList selected = {model.index(0, 0), model.index(0, 3), model.index(1, 1)};
  const QStringList lines = viewer::as_tsv(model, selected).split('\n', Qt::SkipEmptyParts);
  REQUIRE(lines.size() == 3);
  for (const auto& line : lines) CHECK(line.count('\t') == FindingsModel::column_count - 1);
}

TEST_CASE("Spread and margin of a temperature have no zero point", "[viewer]") {
  checks::Finding f = finding("ch.manifold", checks::Verdict::met, 331.05, 338.75, 0);
  auto m = measure::Measured::exact(331.05, Unit::kelvin);
  m.band.add({"cooler", Contribution::Kind::expanded, 4, 4, ""});
  f.outcome = m;
  f.limit = checks::Limit{checks::Comparison::at_most, 338.75, Unit::kelvin, {}};
  FindingsModel model;
  model.set({f}, {});
  CHECK(cell(model, 0, FindingsModel::measured).startsWith("57.9"));
  CHECK(cell(model, 0, FindingsModel::plus_minus) == QString::fromUtf8("± 4.0"));
  CHECK(cell(model, 0, FindingsModel::margin) == "3.7");
}
