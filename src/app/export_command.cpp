#include "app/export_command.hpp"

#include <filesystem>

#include "app/console.hpp"
#include "fabrication/duct_step.hpp"
#include "job/assemble.hpp"

namespace baywright::app {

int run_export(const ExportOptions& options) {
  const Progress progress = console_progress();
  const ResultAll<job::Installation> installation = job::open_job(options.job, progress, options.read);
  if (!installation) return report_failure(installation.error());
  std::error_code code;
  std::filesystem::create_directories(options.out, code);
  if (code)
    return report_failure({{ErrorCode::not_written, options.out, "cannot make this folder: " + code.message()}});
  for (const duct::Duct& duct : installation->ducts) {
    const std::filesystem::path path = std::filesystem::path(options.out) / ("duct-" + duct.spec.id.value + ".step");
    progress.report("writing " + path.string());
    const Result<void> written = fabrication::write_duct_step(duct, path);
    if (!written) return report_failure({written.error()});
  }
  end_progress();
  print_notes(installation->notes);
  for (const duct::Duct& duct : installation->ducts) {
    print((std::filesystem::path(options.out) / ("duct-" + duct.spec.id.value + ".step")).string() + "\n");
  }
  return 0;
}

}  // namespace baywright::app
