// A job shown in inches, inches of water and degrees Fahrenheit: nothing that is read of it is metric.

#include <catch2/catch.hpp>
#include <regex>

#include "demo_job.hpp"
#include "report/report.hpp"
#include "report/text.hpp"

using namespace baywright;

namespace {

/// Words between the tags; styles and pictures left out.
std::string read_by_eye(std::string html) {
  html = std::regex_replace(html, std::regex("<style[^]*?</style>"), " ");
  html = std::regex_replace(html, std::regex("<svg[^>]*>"), " ");
  html = std::regex_replace(html, std::regex("hexagon [0-9.]+ mm"), "hexagon");  // what is stamped on the spanner
  return std::regex_replace(html, std::regex("<[^>]*>"), "\n");
}

std::string metric_lines(const std::string& text) {
  static const std::regex kMetric("(^|[^A-Za-z_])(mm|kPa|Pa|\u00B0C|degC)([^A-Za-z_]|$)");
  std::string lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    if (std::regex_search(line, kMetric)) lines += line + "\n";
  }
  return lines;
}

}  // namespace

TEST_CASE("an inch job prints no metric unit") {
  for (const char* name : {"first-try", "fitted"}) {
    job::Job job = demo::checked(name).installation.job;
    job.units = {LengthUnit::inch, PressureUnit::inH2O, TemperatureUnit::fahrenheit};
    job.note.clear();
    for (job::PartSpec& part : job.parts) part.uncertainty_source.clear();  // the user's own words
    for (duct::DuctSpec& duct : job.ducts) duct.material.clear();
    const demo::Checked checked = demo::check(job, name);
    CHECK(metric_lines(report::findings_text(checked.installation, checked.evaluation, {})).empty());
    const std::string html = report::report_html(checked.installation, checked.evaluation, {});
    CHECK(metric_lines(read_by_eye(html)) == "");
    for (const std::string& warning : checked.installation.warnings) CHECK(metric_lines(warning).empty());
    CHECK(metric_lines("0.5 mm") == "0.5 mm\n");
  }
}

TEST_CASE("beside a piece without a known way the report tells who said that it comes out") {
  demo::Checked checked = demo::checked("fitted");
  const std::string words = "; that it does come out was said by workshop";
  const std::string html = report::report_html(checked.installation, checked.evaluation, {});
  CHECK(html.find("No way out known") != std::string::npos);
  CHECK(html.find(words) != std::string::npos);
  // Where nobody said anything, nothing is added.
  std::erase_if(checked.evaluation.findings,
                [](const checks::Finding& f) { return f.subject.starts_with("said by "); });
  CHECK(report::report_html(checked.installation, checked.evaluation, {}).find(words) == std::string::npos);
}
