#include <catch2/catch.hpp>

#include <cstdlib>
#include <set>

#include "geometry/base/atomic_file.hpp"
#include "report/figures.hpp"
#include "report/markup.hpp"
#include "report/text.hpp"
#include "report/wording.hpp"
#include "sample.hpp"

using namespace baywright;
using sample::has;
using sample::page_of;

namespace {

std::size_t count(const std::string& in, const std::string& what) {
  std::size_t n = 0;
  for (std::size_t at = in.find(what); at != std::string::npos; at = in.find(what, at + what.size())) ++n;
  return n;
}

/// The part of the page from the row of a finding to the end of its group.
std::string row_of(const std::string& page, int number) {
  const std::size_t at = page.find("id=\"f" + std::to_string(number) + "\"");
  REQUIRE(at != std::string::npos);
  return page.substr(at, page.find("</tbody>", at) - at);
}

int number_of(const sample::Sample& s, const std::string& check) {
  for (std::size_t i = 0; i < s.evaluation.findings.size(); ++i) {
    if (s.evaluation.findings[i].check == check) return static_cast<int>(i) + 1;
  }
  FAIL("no finding of " << check);
  return 0;
}

/// First tag that does not close what is open; "" when every element is closed in order.
std::string first_misnested(const std::string& html) {
  static const std::set<std::string> kVoid = {"meta", "img", "br", "col", "!DOCTYPE"};
  std::vector<std::string> open;
  for (std::size_t at = html.find('<'); at != std::string::npos; at = html.find('<', at + 1)) {
    const std::size_t end = html.find('>', at);
    if (end == std::string::npos) return "unclosed <";
    const std::string tag = html.substr(at + 1, end - at - 1);
    if (tag.back() == '/') continue;
    const std::string name = tag.substr(tag[0] == '/' ? 1 : 0, tag.find_first_of(" \n") - (tag[0] == '/' ? 1 : 0));
    if (kVoid.count(name)) continue;
    if (tag[0] != '/') {
      open.push_back(name);
    } else if (open.empty() || open.back() != name) {
      return "</" + name + "> closes " + (open.empty() ? "nothing" : open.back());
    } else {
      open.pop_back();
    }
  }
  return open.empty() ? "" : "never closed: " + open.back();
}

/// Cells of the first row in `html`, spans counted.
std::size_t columns(const std::string& html) {
  const std::string row = html.substr(0, html.find("</tr>"));
  std::size_t n = 0;
  for (const char* kind : {"<td", "<th"}) {
    for (std::size_t at = row.find(kind); at != std::string::npos; at = row.find(kind, at + 1)) {
      if (row.compare(at, 6, "<thead") == 0) continue;
      const std::string tag = row.substr(at, row.find('>', at) - at);
      const std::size_t span = tag.find("colspan=\"");
      n += span == std::string::npos ? 1 : static_cast<std::size_t>(std::stoi(tag.substr(span + 9)));
    }
  }
  return n;
}

}  // namespace

TEST_CASE("every row of every table has as many cells as its head") {
  const std::string page = page_of(sample::make_sample());
  std::size_t rows = 0;
  for (std::size_t at = page.find("<table"); at != std::string::npos; at = page.find("<table", at + 1)) {
    const std::size_t next = page.find("<table", at + 1);
    const std::string one = page.substr(at, std::min(page.find("</table>", at), next) - at);
    const std::size_t head = one.find("<thead");
    if (head == std::string::npos) continue;
    const std::size_t expected = columns(one.substr(head));
    for (std::size_t row = one.find("<tr", one.find("</thead>")); row != std::string::npos;
         row = one.find("<tr", row + 1)) {
      if (one.find("</tr>", row) == std::string::npos) break;  // goes on after a table inside it
      CAPTURE(one.substr(row, 160));
      CHECK(columns(one.substr(row)) == expected);
      ++rows;
    }
  }
  CHECK(rows > 100);
}

TEST_CASE("an empty job gives a whole page that says nothing was checked") {
  const std::string page = report::report_html({}, {}, {});
  CHECK(has(page, "Nothing was checked"));
  CHECK(first_misnested(page) == "");
  CHECK(has(page, "The job has no duct."));
}

TEST_CASE("every element of the page is closed in order") {
  CHECK(first_misnested(page_of(sample::make_sample())) == "");
  CHECK(first_misnested("<p><b></p></b>") == "</p> closes b");  // the test can fail
}

TEST_CASE("the page holds every finding with its place and verdict word") {
  const sample::Sample s = sample::make_sample();
  const std::string page = page_of(s);
  for (std::size_t i = 0; i < s.evaluation.findings.size(); ++i) {
    const checks::Finding& f = s.evaluation.findings[i];
    CAPTURE(f.check, f.subject);
    if (f.verdict == checks::Verdict::not_applicable) {
      CHECK(has(page, f.title + " (" + f.check + ")"));
      continue;
    }
    const std::string row = row_of(page, static_cast<int>(i) + 1);
    CHECK(has(row, f.title));
    CHECK(has(row, report::text(f.subject).html()));
    CHECK(has(row, std::string(checks::name(f.verdict))));
    if (!f.hint.empty()) CHECK(has(row, f.hint));
  }
}

TEST_CASE("a verdict is a symbol and a word, never a colour alone") {
  const std::string page = page_of(sample::make_sample());
  for (const char* pair : {"✗</span>not met", "?</span>undecided", "–</span>not checked", "✓</span>met"}) {
    CAPTURE(pair);
    CHECK(has(page, pair));
  }
}

TEST_CASE("nothing from the job reaches the page unescaped and nothing is loaded from elsewhere") {
  const std::string page = page_of(sample::make_sample());
  CHECK(has(page, "&lt;script&gt;alert(&quot;bay&quot;)&lt;/script&gt; &amp; &#39;quoted&#39;"));
  CHECK(!has(page, "<script"));
  CHECK(!has(page, "http:"));
  CHECK(!has(page, "https:"));
  CHECK(!has(page, "<link"));
  CHECK(has(page, "default-src 'none'"));
  CHECK(has(page, "Test bench &amp; co"));
}

TEST_CASE("control characters cannot hide in a name") {
  CHECK(report::text(std::string("a\x01"
                                 "b\x1B[0m"))
            .html() ==
        "a\xEF\xBF\xBD"
        "b\xEF\xBF\xBD[0m");
}

TEST_CASE("a missing picture leaves its reason in its place") {
  const sample::Sample s = sample::make_sample();
  const std::string without = page_of(s);
  CHECK(count(without, "no off-screen graphics &lt;here&gt;") == 4 + 5);  // three sides, five close-ups
  CHECK(!has(without, "<img"));
  const std::string with = page_of(s, sample::white_point());
  CHECK(count(with, "src=\"data:image/png;base64,iVBORw0KGgo") == 4 + 5);
  CHECK(!has(with, "No picture here"));
}

TEST_CASE("the close-ups are five distinct places in the order of the findings") {
  const sample::Sample s = sample::make_sample();
  const auto places = report::tightest_places(s.evaluation, 5);
  REQUIRE(places.size() == 5);
  CHECK(places[0]->subject ==
        "tube 1 - rocker cover");  // at rest and moving are one place: the worse one stands for it
  CHECK(places[0]->check == s.evaluation.findings.front().check);
  CHECK(places[1]->part == bay::PartId("bonnet"));
  for (std::size_t i = 1; i < places.size(); ++i) {
    CHECK(places[i - 1] < places[i]);
    CHECK(places[i]->subject != places[0]->subject);
  }
}

TEST_CASE("every rigid tube has a bend table of its own, and a line on what holds it") {
  sample::Sample s = sample::make_sample();
  s.installation.ducts[0].spec.metal = duct::Metal::aluminium;
  const std::string page = page_of(s);
  const auto& pieces = s.installation.ducts[0].layout.pieces;
  const auto tubes = std::count_if(pieces.begin(), pieces.end(),
                                   [](const duct::Piece& p) { return p.kind == duct::Piece::Kind::tube; });
  CHECK(count(page, ": cut ends at stations ") + count(page, ": straight, cut ends at stations ") ==
        static_cast<std::size_t>(tubes));
  CHECK(has(page, "<b>tube 1</b>: cut ends at stations 0.0 and "));
  CHECK(has(page, "sensor tube sensor at stations "));
  CHECK(has(page, "Held by, and the load there"));
  CHECK(has(page, "port filter outlet carries "));
  CHECK(has(page, "how it is made is not stated"));
}

TEST_CASE("every coupler has its gap, offset and angle against what it takes") {
  sample::Sample s = sample::make_sample();
  measure::JointShare share{duct::FittingId("hump-1"), measure::Give::sideways, {}, 10, true, 4.1};
  measure::Measured value = measure::Measured::exact(0.41, Unit::ratio);
  share.share = value;
  s.evaluation.ducts[0].measures.joints_over_motion = {share};
  const std::string page = page_of(s);
  CHECK(has(page, "<td>hump-1</td><td>gap</td><td class=\"n\">20.00 mm</td>"));
  CHECK(has(page,
            "<td>offset</td><td class=\"n\">0.00 mm</td><td class=\"n\">–</td><td class=\"n\">4.10 mm</td>"
            "<td class=\"n\">±10.00 mm</td><td class=\"n\">41 %</td>"));
  CHECK(has(page, "±7.00°"));
}

TEST_CASE("the order of taking apart: what comes out as one is one row, what no way is known for is listed with why") {
  sample::Sample s = sample::make_sample();
  CHECK(has(page_of(s), "Ways out were not searched"));
  const std::string page = page_of(sample::with_access(s));
  CHECK(first_misnested(page).empty());
  CHECK(has(page, "<td class=\"n\">2</td><td>tube 2 with coupler hump-1</td><td>hump-1 is slid</td>"));
  CHECK(has(page, "<li>carried 120.0 mm up (+z)</li>"));
  CHECK(has(page, "<td>Bonnet &lt;open&gt;</td>"));
  CHECK(has(page, "<li>part bonnet stands open</li>"));
  CHECK(page.find("<td>tube 3</td>") < page.find("<td>tube 2 with"));
  CHECK(has(page, "<li>tube 1: the search ended after 4000 moves tried for it</li>"));
  CHECK_FALSE(has(page, "Ways out were not searched"));
}

TEST_CASE("a clamp: what each tool does at the position taken, its widest arc, and the position that is recommended") {
  const std::string page = page_of(sample::with_access(sample::make_sample()));
  CHECK(has(page, "reachable by feel. As declared, screw at "));
  CHECK(has(page, "free arc 70°"));
  CHECK(has(page, "In the middle of the widest stretch that serves: screw at half past 6 (200°)"));
  CHECK(has(page,
            "<td>Spanner</td><td class=\"n\">2</td><td class=\"n\">0</td><td>70°, 6 strokes a turn</td>"
            "<td>100°, 4 strokes a turn, at 205°, facing clockwise</td>"));
  CHECK(has(page,
            "<td>Nut driver</td><td class=\"n\">0</td><td class=\"n\">0</td>"
            "<td>no: tool in place, part battery</td><td>–</td>"));
}

TEST_CASE("checks that apply elsewhere are not said to have nothing to look at") {
  sample::Sample s = sample::make_sample();
  checks::Finding elsewhere = s.evaluation.findings[static_cast<std::size_t>(number_of(s, "sn.up") - 1)];
  elsewhere.verdict = checks::Verdict::not_applicable;
  elsewhere.duct = duct::DuctId("breather");
  elsewhere.outcome = measure::NotAssessed{"does not concern a duct for breather", {}};
  s.evaluation.findings.push_back(elsewhere);
  const std::string page = page_of(s);
  const std::size_t at = page.find("nothing these checks could look at");
  REQUIRE(at != std::string::npos);
  const std::string nowhere = page.substr(at, page.find("</p>", at) - at);
  CHECK(has(nowhere, "(in.taper)"));
  CHECK_FALSE(has(nowhere, "(sn.up)"));
  CHECK(has(page, "Do not concern duct breather, and are judged elsewhere: sn.up."));
}

TEST_CASE("a limit is printed as it is, and a value with the decimals that tell it from its limit") {
  sample::Sample s = sample::make_sample();
  const report::Figures figures{DisplayUnits{}};
  CHECK(figures.limit(sample::limit(checks::Comparison::at_least, 6.35, Unit::mm)) == "\u2265 6.35 mm");  // 0.25 in
  CHECK(figures.limit(sample::limit(checks::Comparison::at_least, 20, Unit::mm)) == "\u2265 20.0 mm");
  checks::Finding& f = s.evaluation.findings[static_cast<std::size_t>(number_of(s, "in.radius") - 1)];
  f.outcome = measure::Measured::exact(0.9995, Unit::ratio);
  f.limit = sample::limit(checks::Comparison::at_least, 0.999, Unit::ratio);
  f.verdict = checks::Verdict::met;
  const std::string text = report::findings_text(s.installation, s.evaluation, {});
  CHECK(has(text, "0.9995"));
  CHECK(has(text, "at least 0.9990"));
}

TEST_CASE("what is not judged stands beside the value and says so, on the page and in the terminal") {
  sample::Sample s = sample::make_sample();
  CHECK(has(row_of(page_of(s), number_of(s, "sn.up")), "<small>to the edge of the boss 59.2 mm, not judged</small>"));
  const auto text = [&] { return report::findings_text(s.installation, s.evaluation, {}); };
  CHECK(has(text(), "\n          to the edge of the boss 59.2 mm, not judged\n"));
  s.installation.job.units.length = LengthUnit::inch;
  CHECK(has(text(), "\n          to the edge of the boss 2.331 in, not judged\n"));
}

TEST_CASE("the terminal numbers findings as the page does, and says why a check does not apply") {
  const sample::Sample s = sample::make_sample();
  const std::string text = report::findings_text(s.installation, s.evaluation, {});
  const std::string brief = report::findings_text(s.installation, s.evaluation, {.brief = true});
  for (std::size_t i = 0; i < s.evaluation.findings.size(); ++i) {
    const checks::Finding& f = s.evaluation.findings[i];
    const std::string number = std::to_string(i + 1);
    const std::string start = "\n" + std::string(3 - number.size(), ' ') + number + " ";
    INFO(number << " " << f.check);
    CHECK(has("\n" + text, start) == (f.verdict != checks::Verdict::not_applicable));
    CHECK(has("\n" + brief, start) ==
          (f.verdict != checks::Verdict::not_applicable && f.verdict != checks::Verdict::met));
  }
  CHECK(has(text, "not applicable: in.taper (no cone)\n"));
}

TEST_CASE("a flow that does not pass is not shown as a number over something") {
  sample::Sample s = sample::make_sample();
  checks::Finding& f = s.evaluation.findings[static_cast<std::size_t>(number_of(s, "in.loss_clean") - 1)];
  measure::Measured m = measure::Measured::exact(1908, Unit::pascal);  // 7.66 inH2O
  m.hi = std::numeric_limits<double>::infinity();
  f.outcome = m;
  f.verdict = checks::Verdict::not_met;
  const std::string text = report::findings_text(s.installation, s.evaluation, {});
  CHECK(has(text, "chokes after 1.91 kPa"));
  CHECK_FALSE(has(text, "over 1.91"));
  const std::string row = row_of(page_of(s), number_of(s, "in.loss_clean"));
  CHECK(has(row, "chokes after 1.91 kPa"));
  CHECK(has(row, "1.91 kPa is lost before the flow stops passing"));
  CHECK_FALSE(has(row, "nothing nearer"));
}

TEST_CASE("how many is told from to, not as a number with something less") {
  sample::Sample s = sample::make_sample();
  checks::Finding& f = s.evaluation.findings[static_cast<std::size_t>(number_of(s, "sn.up") - 1)];
  measure::Measured m = measure::Measured::exact(0, Unit::count);
  m.hi = 13;
  f.outcome = m;
  f.verdict = checks::Verdict::undecided;
  f.limit->unit = Unit::count;
  CHECK(report::outcome_text(f.outcome, {}) == "0 to 13");
  CHECK(has(row_of(page_of(s), number_of(s, "sn.up")), "0 to 13"));
  CHECK(report::outcome_text(measure::Measured::exact(2, Unit::count), {}) == "2");
  m = measure::Measured::exact(80, Unit::mm);
  m.lo = 79.5;
  CHECK(report::outcome_text(m, {}) == "80.0 -0.5/+0.0 mm");
}

TEST_CASE("numbers follow the job's display units") {
  sample::Sample s = sample::make_sample();
  s.installation.job.units = {LengthUnit::inch, PressureUnit::inH2O, TemperatureUnit::fahrenheit};
  const std::string page = page_of(s);
  const std::string straight = row_of(page, number_of(s, "sn.up"));
  CHECK(has(straight, "3.039 in"));  // 77.2 / 25.4
  CHECK(has(straight, "\u2265 4.000 in"));
  CHECK(has(row_of(page, number_of(s, "in.loss_clean")), "10.00 inH2O"));  // 2490 / 249.089
  CHECK(has(page, "77.0 °F"));                                             // 25 degC
  CHECK(!has(page, "kPa"));
  CHECK(!has(straight.substr(0, straight.find("class=\"more\"")), " mm"));
}

TEST_CASE("no value is rounded across its limit") {
  sample::Sample s = sample::make_sample();
  checks::Finding& f = s.evaluation.findings.front();
  f.outcome = measure::Measured::exact(19.996, Unit::mm);
  f.limit = sample::limit(checks::Comparison::at_least, 20, Unit::mm);
  f.verdict = checks::decide(f.outcome, f.limit);
  REQUIRE(f.verdict == checks::Verdict::not_met);
  const std::string row = row_of(page_of(s), 1);
  CHECK(has(row, "19.996 mm"));
  CHECK(has(row, "\u2265 20.000 mm"));
}

TEST_CASE("assumed movement is said at the head, in the row and beside the cautions") {
  const sample::Sample s = sample::make_sample();
  const std::string page = page_of(s);
  CHECK(has(page, "how far bonnet moves was not measured"));
  CHECK(has(page, "(assumed movement)"));
  CHECK(has(page, "rests in part on an assumed movement"));
  sample::Sample measured = s;
  for (auto& f : measured.evaluation.findings) {
    if (auto* m = std::get_if<measure::Measured>(&f.outcome)) m->assumed_motion = false;
  }
  CHECK(!has(page_of(measured), "assumed movement:"));
}

TEST_CASE("files, exceptions, warnings, rule and cautions are printed") {
  const sample::Sample s = sample::make_sample();
  const std::string page = page_of(s);
  CHECK(has(page, std::string(64, 'f')));
  CHECK(has(page, "the tube starts at this part&#39;s port"));
  CHECK(has(page, "harness: the file holds no surface"));
  CHECK(has(page, "3 triangles dropped"));
  CHECK(has(page, std::string(report::decision_rule())));
  for (const std::string& line : report::cautions()) CHECK(has(page, report::text(line).html()));
  CHECK(report::cautions().size() == 16);
  CHECK(has(page, "floats between vehicle and engine"));
  CHECK(has(page, "gauge at tap"));
}

TEST_CASE("a restriction that could not be estimated names what is missing") {
  sample::Sample s = sample::make_sample();
  s.evaluation.ducts[0].measures.clean = measure::NotAssessed{"the rated flow is unknown", {"flow/rated_kg_per_s"}};
  s.evaluation.ducts[0].measures.dirty = measure::NotAssessed{"the rated flow is unknown", {"flow/rated_kg_per_s"}};
  const std::string page = page_of(s);
  CHECK(has(page, "clean filter: the rated flow is unknown. Missing: flow/rated_kg_per_s"));
  CHECK(!has(page, "Element, in order of flow"));
  CHECK(first_misnested(page) == "");
}

TEST_CASE("numbers that are not finite print as words") {
  sample::Sample s = sample::make_sample();
  auto& m = std::get<measure::Measured>(s.evaluation.findings.front().outcome);
  m.hi = m.lo = std::numeric_limits<double>::quiet_NaN();
  const std::string page = page_of(s);
  CHECK(!has(page, ">nan"));
  CHECK(!has(page, "inf<"));
  CHECK(has(row_of(page, 1), "unknown"));
}

TEST_CASE("the same job gives the same bytes") {
  CHECK(page_of(sample::make_sample()) == page_of(sample::make_sample()));
}

TEST_CASE("the verdict of the job is its worst finding") {
  checks::Evaluation e;
  e.summary.met = 3;
  CHECK(report::job_verdict(e.summary) == checks::Verdict::met);
  CHECK(report::job_sentence(e) == "Every requirement that was checked is met: 3 findings, none open.");
  e.summary.not_checked = 1;
  CHECK(report::job_verdict(e.summary) == checks::Verdict::not_checked);
  e.summary.undecided = 2;
  CHECK(report::job_verdict(e.summary) == checks::Verdict::undecided);
  CHECK(report::job_sentence(e) ==
        "No requirement fails, but the job is still open: 2 are undecided and 1 could not be checked of 6 findings.");
  e.summary.not_met = 1;
  CHECK(report::job_verdict(e.summary) == checks::Verdict::not_met);
  CHECK(report::job_verdict({}) == checks::Verdict::not_checked);
}

TEST_CASE("as many decimals as it takes to tell a value from its limit") {
  const report::Figures figures{DisplayUnits()};
  const checks::Limit limit{checks::Comparison::at_least, 101.6, Unit::mm, {}};
  for (double off = 0.3; off > 1.1e-6; off /= 3) {
    for (const double value : {101.6 - off, 101.6 + off}) {
      const measure::Measured m = measure::Measured::exact(value, Unit::mm);
      const int more = figures.decimals_to_tell(m, limit);
      INFO(off << " with " << more << " more decimals");
      CHECK(figures.number(value, Unit::mm, more) != figures.number(101.6, Unit::mm, more));
    }
  }
  // Within the rounding allowance it is the limit, and is printed like it.
  CHECK(figures.decimals_to_tell(measure::Measured::exact(101.6 - 3e-14, Unit::mm), limit) == 0);
}

TEST_CASE("uncertainties not stated stand in the head") {
  sample::Sample s = sample::make_sample();
  CHECK(!has(page_of(s), "Uncertainties not stated"));
  auto& m = std::get<measure::Measured>(s.evaluation.findings.front().outcome);
  m.band.add({"x", Contribution::Kind::standard, 1, 1, "", "ducts/intake/bend_tolerance_mm"});
  CHECK(has(page_of(s), "Uncertainties not stated: ducts/intake/bend_tolerance_mm."));
}

// Writes the page to look at it: BAYWRIGHT_REPORT_OUT=file report_test "write the sample report".
TEST_CASE("write the sample report", "[.write]") {
  const sample::Sample s = sample::with_access(sample::make_sample());
  REQUIRE(write_file(std::getenv("BAYWRIGHT_REPORT_OUT"), page_of(s)));
}

TEST_CASE("a hexagon is named as it is stamped on the tool", "[report]") {
  CHECK(report::hexagon_text(8) == "8 mm");
  CHECK(report::hexagon_text(25.4 * 5 / 16) == "5/16 in");
  CHECK(report::hexagon_text(7.94) == "5/16 in");
  CHECK(report::hexagon_text(6.35) == "1/4 in");
  CHECK(report::hexagon_text(25.4 * 7 / 16) == "7/16 in");
  CHECK(report::hexagon_text(7) == "7 mm");
  CHECK(report::hexagon_text(10.5) == "10.5 mm");
  CHECK(report::hexagon_text(25.4) == "1 in");
}
