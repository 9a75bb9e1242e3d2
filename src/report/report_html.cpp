#include "report/page.hpp"
#include "report/palette.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

std::string variables(const Palette& p) {
  const std::pair<const char*, const char*> names[] = {{"page", p.page},
                                                       {"panel", p.panel},
                                                       {"ink", p.ink},
                                                       {"quiet", p.quiet},
                                                       {"rule", p.rule},
                                                       {"edge", p.edge},
                                                       {"met", p.met},
                                                       {"not_met", p.not_met},
                                                       {"undecided", p.undecided},
                                                       {"not_checked", p.not_checked},
                                                       {"bar", p.bar},
                                                       {"bar_total", p.bar_total},
                                                       {"soft", p.soft},
                                                       {"floating", p.floating}};
  std::string out = ":root{";
  for (const auto& [name, color] : names) out += std::string("--") + name + ":" + color + ";";
  return out + "}";
}

/// The page may load nothing: no script, no font, no picture but those inside the file.
constexpr const char* kPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

}  // namespace

std::string report_html(const job::Installation& installation, const checks::Evaluation& evaluation,
                        const PictureSource& pictures) {
  const Page page{installation, evaluation, pictures, Figures(installation.job.units)};
  std::string out = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
  out += std::string("<meta http-equiv=\"Content-Security-Policy\" content=\"") + kPolicy + "\">\n";
  out += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
  out += "<meta name=\"color-scheme\" content=\"light dark\">\n";
  out += "<title>" + text(installation.job.name).html() + " – installation report</title>\n<style>\n";
  out += variables(light_palette()) + "\n@media screen and (prefers-color-scheme:dark){" + variables(dark_palette()) +
         "}\n" + style_rules() + "</style>\n</head>\n<body>\n<main>\n";
  for (auto* section :
       {head_section, verdict_section, picture_section, restriction_section, duct_section, clearance_section,
        clamp_section, ways_section, input_section, limit_section, open_section, caution_section}) {
    out += section(page).html();
  }
  out += std::string("<footer>Written by Baywright ") + BAYWRIGHT_VERSION +
         ". The same numbers, with every digit, are in findings.json. This file holds no script and loads nothing from "
         "elsewhere.</footer>\n</main>\n</body>\n</html>\n";
  return out;
}

}  // namespace baywright::report
