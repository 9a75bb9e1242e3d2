#include "app/check_command.hpp"

#include <filesystem>

#include "app/console.hpp"
#include "app/pictures.hpp"
#include "checks/evaluation.hpp"
#include "geometry/base/atomic_file.hpp"
#include "job/assemble.hpp"
#include "report/report.hpp"
#include "report/text.hpp"
#include "session/evaluate.hpp"

namespace baywright::app {
namespace {

report::PictureSource pictures_for(const CheckOptions& options, const Progress& progress) {
  if (options.no_pictures) {
    return
        [](const job::Installation&, const checks::Evaluation&, const report::PictureRequest&) -> Result<std::string> {
          return fail(ErrorCode::not_supported, "pictures", "left out on request (--no-pictures)");
        };
  }
  return
      [make = picture_source(), progress](const job::Installation& installation, const checks::Evaluation& evaluation,
                                          const report::PictureRequest& request) -> Result<std::string> {
        if (progress.cancelled()) return fail(ErrorCode::cancelled, "pictures", "cancelled");
        progress.report("drawing pictures");
        return make(installation, evaluation, request);
      };
}

Result<void> write_results(const CheckOptions& options, const job::Installation& installation,
                           const checks::Evaluation& evaluation, const Progress& progress) {
  const std::filesystem::path out = options.out;
  std::error_code code;
  std::filesystem::create_directories(out, code);
  if (code) return fail(ErrorCode::not_written, out.string(), "cannot make this folder: " + code.message());
  const std::string findings = report::findings_json(installation, evaluation);
  const std::string html = report::report_html(installation, evaluation, pictures_for(options, progress));
  if (progress.cancelled()) return fail(ErrorCode::cancelled, "", "cancelled; nothing was written");
  progress.report("writing findings.json and report.html");
  const NewFile files[] = {{out / "findings.json", findings}, {out / "report.html", html}};
  return write_files(files);
}

}  // namespace

int run_check(const CheckOptions& options) {
  const Progress progress = console_progress();
  const ResultAll<job::Installation> installation = job::open_job(options.job, progress, options.read);
  if (!installation) return report_failure(installation.error());
  const Result<checks::Evaluation> evaluation = session::evaluate(*installation, nullptr, {}, progress);
  if (!evaluation) return report_failure({evaluation.error()});
  if (!options.out.empty()) {
    const Result<void> written = write_results(options, *installation, *evaluation, progress);
    if (!written) return report_failure({written.error()});
  }
  end_progress();
  print_notes(installation->notes);
  print(report::findings_text(*installation, *evaluation, {.color = wants_color(), .brief = options.brief}));
  std::string text;
  for (const std::string& warning : installation->warnings) text.append("! ").append(warning).append("\n");
  print(text + "\n" + report::summary_line(*installation, *evaluation) + "\n");
  if (!options.out.empty()) print("Report: " + (std::filesystem::path(options.out) / "report.html").string() + "\n");
  return checks::exit_code(evaluation->summary);
}

}  // namespace baywright::app
