#include "app/picture_command.hpp"

#include <cctype>
#include <filesystem>

#include "app/console.hpp"
#include "app/pictures.hpp"
#include "geometry/base/atomic_file.hpp"
#include "session/evaluate.hpp"

namespace baywright::app {
namespace {

using View = report::PictureRequest::View;

View view_named(const std::string& name) {
  if (name == "left") return View::from_left;
  if (name == "above") return View::from_top;
  if (name == "front") return View::from_front;
  return View::oblique;
}

bool is_png_name(const std::string& name) {
  std::string suffix = std::filesystem::path(name).extension().string();
  for (char& c : suffix) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return suffix == ".png";
}

}  // namespace

int run_picture(const PictureOptions& options) {
  if (!is_png_name(options.out)) {
    return report_failure(
        {{ErrorCode::bad_usage, options.out, "pictures are written as PNG only; give a name that ends in .png"}});
  }
  const Progress progress = console_progress();
  const ResultAll<job::Installation> installation = job::open_job(options.job, progress, options.read);
  if (!installation) return report_failure(installation.error());
  report::PictureRequest request;
  request.view = view_named(options.view);
  request.width_px = options.width_px;
  request.height_px = options.height_px;
  checks::Evaluation evaluation;
  if (options.finding > 0) {
    Result<checks::Evaluation> measured = session::evaluate(*installation, nullptr, {}, progress);
    if (!measured) return report_failure({measured.error()});
    evaluation = std::move(*measured);
    const auto count = evaluation.findings.size();
    if (static_cast<std::size_t>(options.finding) > count)
      return report_failure({{ErrorCode::bad_value, "--finding",
                              "there is no finding " + std::to_string(options.finding) + "; the report numbers " +
                                  std::to_string(count) + ", those that do not apply among them"}});
    request.view = View::close_up;
    request.finding = &evaluation.findings[static_cast<std::size_t>(options.finding - 1)];
  }
  progress.report("drawing the picture");
  const Result<std::string> png = picture_source()(*installation, evaluation, request);
  if (!png) return report_failure({png.error()});
  if (const Result<void> written = write_file(options.out, *png); !written) return report_failure({written.error()});
  end_progress();
  print_notes(installation->notes);
  print(options.out + "\n");
  return 0;
}

}  // namespace baywright::app
