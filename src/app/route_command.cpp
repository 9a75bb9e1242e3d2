#include "app/route_command.hpp"

#include <algorithm>
#include <filesystem>
#include <optional>
#include <set>
#include <vector>

#include "app/console.hpp"
#include "geometry/base/atomic_file.hpp"
#include "geometry/base/words.hpp"
#include "job/job_text.hpp"
#include "job/stock_file.hpp"
#include "report/figures.hpp"
#include "report/text.hpp"
#include "routing/route_search.hpp"
#include "session/evaluate.hpp"

namespace baywright::app {
namespace {

namespace fs = std::filesystem;
using routing::JudgedRoute;
using routing::SearchResult;

Result<duct::DuctId> wanted_duct(const job::Installation& installation, const std::string& name) {
  std::vector<std::string> names;
  for (const duct::Duct& duct : installation.ducts) names.push_back(duct.spec.id.value);
  if (!name.empty()) {
    if (std::find(names.begin(), names.end(), name) != names.end()) return duct::DuctId(name);
    return fail(ErrorCode::bad_value, "--duct", "there is no duct '" + name + "'; the job has " + joined(names));
  }
  if (names.size() == 1) return duct::DuctId(names.front());
  return fail(ErrorCode::bad_usage, "--duct", names.empty() ? "the job has no duct" : "say which: " + joined(names));
}

std::string restriction_text(const JudgedRoute& route, const DisplayUnits& units) {
  if (!route.loss) return "";
  return ", loses " + report::outcome_text(route.loss->outcome, units) +
         (route.loss->check == "ch.loss" ? " from compressor to engine" : " clean");
}

std::string one_line(const JudgedRoute& route, const DisplayUnits& units) {
  std::string text = std::to_string(route.bends) + (route.bends == 1 ? " bend" : " bends") + ", turns " +
                     report::fixed(route.turning_deg, 0) + "°, " + length_text(route.length_mm, units) + " long" +
                     restriction_text(route, units);
  if (route.least_room_mm) {
    const bool room = *route.least_room_mm >= 0;
    text += ", " + length_text(std::abs(*route.least_room_mm), units) +
            (room ? " to spare where it is tightest" : " too little where it is tightest, uncertainties counted");
  }
  return text;
}

/// A row of a table: cells side by side.
using Row = std::vector<std::string>;

std::size_t shown_width(const std::string& text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

/// Columns as wide as their widest cell, two blanks between.
std::string table_text(const std::vector<Row>& rows) {
  std::vector<std::size_t> widths;
  for (const Row& row : rows) {
    widths.resize(std::max(widths.size(), row.size()));
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], shown_width(row[i]));
  }
  std::string text;
  for (const Row& row : rows) {
    std::string line = " ";
    for (std::size_t i = 0; i < row.size(); ++i)
      line += " " + row[i] + (i + 1 < row.size() ? std::string(widths[i] - shown_width(row[i]) + 1, ' ') : "");
    text += line + "\n";
  }
  return text;
}

/// What a route is made of: tube, radii of its bends, what of the stock was added.
std::string made_of(const JudgedRoute& route, const DisplayUnits& units) {
  std::string text = "tube " + (route.tube.empty() ? length_text(route.spec.tube.outer_diameter_mm, units) + " x " +
                                                         format(route.spec.tube.wall_mm, Unit::mm, units, 1)
                                                   : route.tube.value);
  std::set<double> radii;
  for (const duct::RoutePoint& point : route.spec.route.points) {
    if (point.bend_radius_mm > 0) radii.insert(point.bend_radius_mm);
  }
  std::vector<std::string> texts;
  for (const double radius : radii) texts.push_back(length_text(radius, units));
  if (!texts.empty()) text += ", bends of " + joined(texts);
  if (!route.added.empty()) {
    std::vector<std::string> added;
    for (const duct::FittingId& id : route.added) added.push_back(id.value);
    text += ", with " + joined(added) + " added";
  }
  return text;
}

/// What stands elsewhere than the job has it.
std::string moved_text(const JudgedRoute& route) {
  std::string text;
  for (const routing::PartMove& move : route.moves) text += "; with " + move.text;
  return text;
}

std::string restriction_cell(const JudgedRoute& route, const DisplayUnits& units) {
  return route.loss ? report::outcome_text(route.loss->outcome, units) : "not known";
}

/// Of a mended route: how far it leaves the one as given.
std::string change_text(const JudgedRoute& route, const DisplayUnits& units) {
  constexpr double kNone_mm = 0.05;
  if (!route.change_mm) return "";
  if (*route.change_mm < kNone_mm) return "; as it was given";
  return "; at most " + length_text(*route.change_mm, units) + " from the route as given";
}

std::string front_text(const std::vector<JudgedRoute>& routes, const DisplayUnits& units) {
  const bool prefers = std::any_of(routes.begin(), routes.end(), [](const auto& r) { return r.preferred_share > 0; });
  const duct::Service service = routes.front().spec.service;
  const bool charge = service == duct::Service::charge_hot || service == duct::Service::charge_cold;
  std::vector<Row> rows = {
      {"", "bends", charge ? "compressor to engine" : "restriction", "margin", "length", "pieces", "made of"}};
  if (prefers) rows.front().insert(rows.front().end() - 1, "preferred");
  for (std::size_t i = 0; i < routes.size(); ++i) {
    const JudgedRoute& r = routes[i];
    rows.push_back({std::to_string(i + 1), std::to_string(r.bends), restriction_cell(r, units),
                    r.least_room_mm ? length_text(*r.least_room_mm, units) : "none near",
                    length_text(r.length_mm, units), std::to_string(r.pieces),
                    made_of(r, units) + moved_text(r) +
                        (r.dominated ? "; another way, better in nothing than one above" : "") +
                        change_text(r, units)});
    if (prefers) rows.back().insert(rows.back().end() - 1, report::fixed(100 * r.preferred_share, 0) + " %");
  }
  return table_text(rows);
}

/// Of a finding that is not met whatever its number says: why. Else "".
std::string in_spite_of_its_number(const checks::Finding& f) {
  const auto* measured = std::get_if<measure::Measured>(&f.outcome);
  const bool fails = measured && f.verdict == checks::Verdict::not_met && f.limit &&
                     checks::decide(*measured, *f.limit) != checks::Verdict::not_met;
  return fails ? measured->note : "";
}

/// One finding that stands in the way of a route. Where its number is not the reason, the reason comes first.
std::string finding_line(const checks::Finding& f, const DisplayUnits& units) {
  const std::string why = in_spite_of_its_number(f), limit = report::limit_text(f.limit, units);
  std::string text = "     " + std::string(checks::name(f.verdict)) + ": " + f.title + ", " + f.subject + ": ";
  if (!why.empty()) text += why + "; the number itself is ";
  text += report::outcome_text(f.outcome, units);
  if (!limit.empty()) text += " (" + limit + ")";
  return text + "\n";
}

/// Findings, one a line; after the first few the rest are counted.
std::string findings_text(const std::vector<checks::Finding>& findings, const DisplayUnits& units) {
  constexpr std::size_t kMost = 8;
  std::string text;
  for (std::size_t i = 0; i < std::min(findings.size(), kMost); ++i) text += finding_line(findings[i], units);
  if (findings.size() > kMost) text += "     and " + std::to_string(findings.size() - kMost) + " more\n";
  return text;
}

const measure::NotAssessed* not_assessed(const checks::Finding& f) {
  return std::get_if<measure::NotAssessed>(&f.outcome);
}

/// Whether two findings could not be assessed on the same thing for the same reason.
bool same_gap(const checks::Finding& a, const checks::Finding& b) {
  return not_assessed(a) && not_assessed(b) && a.check == b.check && a.subject == b.subject && a.duct == b.duct &&
         not_assessed(a)->reason == not_assessed(b)->reason;
}

/// What stands in the way of a route, worst first. `told`: before, of all.
std::string in_the_way_text(const JudgedRoute& route, const std::vector<checks::Finding>& told,
                            const DisplayUnits& units) {
  std::vector<checks::Finding> left;
  for (const checks::Finding& f : route.in_the_way) {
    if (std::none_of(told.begin(), told.end(), [&](const checks::Finding& t) { return same_gap(f, t); }))
      left.push_back(f);
  }
  return left.empty() ? "     nothing else\n" : findings_text(left, units);
}

/// Titles of requirements on the duct that are open although its route does not decide them.
std::string open_otherwise(const JudgedRoute& route) {
  std::vector<std::string> titles;
  std::set<std::string> seen;
  for (const checks::Finding& f : route.findings) {
    const bool open = f.verdict != checks::Verdict::met && f.verdict != checks::Verdict::not_applicable;
    // Searched, see comes_out_text; what somebody said stays.
    if (route.comes_out && f.check == "cr.assemble" && !f.subject.starts_with("said by ")) continue;
    if (open && seen.insert(f.check).second)
      titles.push_back(f.title + " (" + std::string(checks::name(f.verdict)) + ")");
  }
  if (titles.empty()) return "";
  return "     open still, as in the job as given: " + joined(titles) + "\n";
}

/// How the pieces come out, where that was searched.
std::string comes_out_text(const JudgedRoute& route) {
  if (!route.comes_out) return "";
  const routing::ComesOut& out = *route.comes_out;
  std::string text = "     comes out, as far as is known: ";
  if (out.stay.size() == out.pieces) {
    text += "nothing of it; no way is known for " + joined(out.stay) + ", to be tried on the vehicle";
  } else if (out.stay.empty()) {
    text += out.pieces == 1 ? "its one piece" : "all " + std::to_string(out.pieces) + " of its pieces";
  } else {
    text += std::to_string(out.pieces - out.stay.size()) + " of its " + std::to_string(out.pieces) +
            " pieces; no way is known for " + joined(out.stay) + ", to be tried on the vehicle";
  }
  if (!out.shut_in.empty()) text += "; no way is known any more for " + joined(out.shut_in);
  return text + "\n";
}

/// Checks that somebody answered for the duct as it lies in the job.
std::string answered_before(const JudgedRoute& route) {
  std::vector<std::string> titles;
  for (const checks::Finding& f : route.findings) {
    const bool answered = f.subject.starts_with("said by ") && routing::answered_for_the_route(f.check);
    if (answered && f.verdict == checks::Verdict::met) titles.push_back(f.title + " (" + f.subject + ")");
  }
  if (titles.empty()) return "";
  return "Answered for the route as it was, to be asked again for another one; the answers stay in the job: " +
         joined(titles) + "\n";
}

std::string searched_text(const SearchResult& result, const DisplayUnits& units) {
  const routing::Make& first = result.makes.front();
  const std::string own = "tube " + length_text(first.need.outer_diameter_mm, units) + ", bends of " +
                          length_text(first.need.bend_radius_mm, units);
  std::vector<std::string> tubes;
  for (const routing::Make& make : result.makes) {
    const bool named = std::find(tubes.begin(), tubes.end(), make.tube.value) != tubes.end();
    if (!make.tube.empty() && !named) tubes.push_back(make.tube.value);
  }
  if (tubes.empty()) return own;
  const std::string of_stock = "tubes of the stock: " + joined(tubes);
  return first.tube.empty() ? own + ", and, though none has the size of its ports, " + of_stock : of_stock;
}

/// Changes that were tried where nothing meets, and what came out of each.
std::string suggestions_text(const SearchResult& result, const DisplayUnits& units) {
  if (result.suggestions.empty()) return "";
  std::string text = "\nWhat would free it. Each was tried by a search of its own; nothing of it was written:\n";
  for (const routing::Suggestion& s : result.suggestions) {
    text += "  - " + s.change + ": ";
    if (!s.not_run.empty()) {
      text += "not tried, " + s.not_run + "\n";
    } else if (s.route) {
      text += "a route that meets: " + one_line(*s.route, units) + "\n";
    } else if (s.in_the_way.empty()) {
      text += "no route\n";
    } else {
      const checks::Finding& f = s.in_the_way.front();
      text += "no route; nearest: " + f.title + ", " + f.subject + ": " + report::outcome_text(f.outcome, units) + "\n";
    }
  }
  return text;
}

/// What could not be assessed on any of the near-misses, for the same reason: told once, for none of them can count
/// before that is mended.
std::vector<checks::Finding> not_assessed_on_any(const std::vector<JudgedRoute>& near_misses) {
  if (near_misses.empty()) return {};
  std::vector<checks::Finding> all = near_misses.front().in_the_way;
  std::erase_if(all, [&](const checks::Finding& wanted) {
    return !std::all_of(near_misses.begin(), near_misses.end(), [&](const JudgedRoute& route) {
      return std::any_of(route.in_the_way.begin(), route.in_the_way.end(),
                         [&](const checks::Finding& f) { return same_gap(f, wanted); });
    });
  });
  return all;
}

/// The near-misses, each with what stands in its way.
std::string near_misses_text(const SearchResult& result, const DisplayUnits& units) {
  const std::vector<JudgedRoute>& near_misses = result.near_misses;
  if (near_misses.empty()) return "\nNo route was found, and nothing that comes near one.\n";
  std::string text = "\nNo route was found that meets.";
  const std::vector<checks::Finding> common = not_assessed_on_any(near_misses);
  if (!common.empty()) text += " None can count while this is not checked, which none of them changes:\n";
  text += findings_text(common, units) + (common.empty() ? " " : "\n") +
          "What comes nearest, and what stands in its way:\n";
  for (std::size_t i = 0; i < near_misses.size(); ++i) {
    const JudgedRoute& route = near_misses[i];
    text += "  " + std::to_string(i + 1) + "  " + one_line(route, units) + "\n" + in_the_way_text(route, common, units);
    if (const std::string moved = moved_text(route); !moved.empty()) text += "     " + moved.substr(2) + "\n";
    if (!route.tube.empty() || result.makes.size() > 1) text += "     made of " + made_of(route, units) + "\n";
  }
  return text;
}

std::string report_text(const job::Installation& installation, const SearchResult& result) {
  const DisplayUnits& units = installation.bay.units;
  const routing::Requirements& need = result.makes.front().need;
  std::string text = "Duct " + result.as_given.spec.id.value + " of " + installation.job.name + ": " +
                     result.as_given.spec.from.port.value + " to " + result.as_given.spec.to.port.value + ", " +
                     searched_text(result, units) + ", at most " + std::to_string(need.most_bends) + " bends\n";
  for (const std::string& line : result.left_out) text += "left out: " + line + "\n";
  text +=
      "as given: " + one_line(result.as_given, units) +
      (result.as_given.meets ? "; meets what its route decides\n"
                             : "; " + std::to_string(result.as_given.in_the_way.size()) +
                                   (result.as_given.in_the_way.size() == 1 ? " finding stands" : " findings stand") +
                                   " against its route\n");
  if (!result.routes.empty()) text += "\nRoutes that meet everything a route decides, checked in full:\n";
  if (!result.routes.empty()) text += front_text(result.routes, units);
  for (std::size_t i = 0; i < result.routes.size(); ++i) {
    const std::string more = comes_out_text(result.routes[i]) + open_otherwise(result.routes[i]);
    if (!more.empty()) text += "  " + std::to_string(i + 1) + more.substr(3);
  }
  if (!result.routes.empty()) return text + answered_before(result.routes.front());
  return text + near_misses_text(result, units) + suggestions_text(result, units);
}

std::string effort_text(const SearchResult& result) {
  const auto counted = [](std::size_t n, const std::string& one) {
    return std::to_string(n) + " " + one + (n == 1 ? "" : "s");
  };
  std::string text = counted(static_cast<std::size_t>(result.rounds), "round") + ", " +
                     counted(result.corridors, "corridor") + ", " + counted(result.tried, "course") + " tried, " +
                     std::to_string(result.judged) + " checked in full";
  if (result.places > 0) text += ", " + std::to_string(result.places) + " other places of what may move";
  if (result.time_was_up) text += "; the time was up: --time gives it more";
  if (result.cancelled) text += "; cancelled, this is what was found until then";
  return text + "\n";
}

/// The job with a route in place of one of its own, and what was moved for it.
job::Job job_with(const job::Installation& installation, const JudgedRoute& route) {
  job::Job job = installation.job;
  for (const routing::PartMove& move : route.moves) job = routing::with_moved(std::move(job), move);
  for (duct::DuctSpec& duct : job.ducts) {
    if (duct.id == route.spec.id) duct = route.spec;
  }
  return job;
}

/// Text of the job's file with a route in it.
Result<std::string> text_with(const job::Installation& installation, const JudgedRoute& route) {
  const job::InputFile& own = installation.files.front();
  const fs::path file = installation.folder / own.path;
  const auto text = read_file(file);
  if (!text) return tl::unexpected(text.error());
  if (sha256_hex(*text) != own.sha256) {
    return fail(ErrorCode::bad_value, file.string(), "was changed while routes were searched; nothing was written");
  }
  return job::with_routes(*text, installation.job, job_with(installation, route));
}

fs::path kept_path(const job::Installation& installation, std::size_t number) {
  return installation.folder / ("route-" + std::to_string(number) + ".json");
}

/// Routes kept earlier, which may have been edited or checked since, are nobody's to overwrite.
Result<void> refuse_kept_before(const RouteOptions& options, const job::Installation& installation) {
  for (std::size_t i = 1; options.keep && i <= routing::SearchOptions().most_routes; ++i) {
    std::error_code error;
    const fs::path path = kept_path(installation, i);
    if (fs::exists(path, error) || error) {
      return fail(ErrorCode::bad_usage, path.string(),
                  error ? error.message() : "is there already; move it away or remove it, or leave --keep out");
    }
  }
  return {};
}

/// What was moved in the search is read anew from its file where it will stand: the job that is written must pass the
/// check that was promised, to the last finding.
Result<void> check_anew(const RouteOptions& options, const job::Installation& installation, const JudgedRoute& route,
                        const Progress& progress) {
  const auto again =
      job::assemble(job_with(installation, route), installation.folder, progress, &installation, options.read);
  if (!again) return tl::unexpected(again.error().front());
  const auto evaluation = session::evaluate(*again, nullptr, {}, progress, session::kFindingsAlone);
  if (!evaluation) return tl::unexpected(evaluation.error());
  const checks::Summary &now = evaluation->summary, &promised = route.summary;
  if (now.not_met <= promised.not_met && now.undecided <= promised.undecided && now.not_checked <= promised.not_checked)
    return {};
  return fail(ErrorCode::bad_value, "--take, --keep",
              "a route that met in the search does not when the part it moves is read anew from its file: the two "
              "differ by what chord_error_mm leaves open. Nothing was written; state a smaller chord_error_mm for that "
              "part and search again");
}

Result<std::vector<std::string>> write_routes(const RouteOptions& options, const job::Installation& installation,
                                              const std::vector<JudgedRoute>& routes, const Progress& progress) {
  std::vector<std::string> texts, lines;
  std::vector<fs::path> paths;
  for (std::size_t i = 0; i < routes.size(); ++i) {
    const bool chosen = options.take == static_cast<int>(i) + 1;
    if (!options.keep && !chosen) continue;
    if (!routes[i].moves.empty()) {
      if (const auto good = check_anew(options, installation, routes[i], progress); !good)
        return tl::unexpected(good.error());
    }
    auto text = text_with(installation, routes[i]);
    if (!text) return tl::unexpected(text.error());
    if (options.keep) {
      paths.push_back(kept_path(installation, i + 1));
      texts.push_back(*text);
      lines.push_back("Kept: " + paths.back().string());
    }
    if (!chosen) continue;
    paths.push_back(installation.folder / installation.files.front().path);
    texts.push_back(*text);
    lines.push_back("Route " + std::to_string(i + 1) + " is now in " + paths.back().string());
    for (const routing::PartMove& move : routes[i].moves)
      lines.push_back("Written there too: " + move.text +
                      "; what may move of it was counted from where it stood and is "
                      "taken out");
  }
  std::vector<NewFile> files;
  for (std::size_t i = 0; i < texts.size(); ++i) files.push_back({paths[i], texts[i]});
  if (const auto written = write_files(files); !written) return tl::unexpected(written.error());
  return lines;
}

/// A route is put into the job by its number, so the number has to mean what was shown.
Result<void> refuse_take(const RouteOptions& options, const SearchResult& result) {
  if (options.take == 0) return {};
  // The first is the one that is preferred of those that were found, whatever others another run finds.
  if (result.time_was_up && options.take > 1) {
    return fail(
        ErrorCode::bad_value, "--take",
        "the search was cut by its time, so that another one may have numbered its routes otherwise; nothing was "
        "written. Give --time more, or keep routes with --keep and copy the one you want over the job file");
  }
  if (options.take > static_cast<int>(result.routes.size())) {
    return fail(ErrorCode::bad_value, "--take",
                "there is no route " + std::to_string(options.take) + ": " + std::to_string(result.routes.size()) +
                    (result.routes.size() == 1 ? " was" : " were") + " found; nothing was written");
  }
  return {};
}

}  // namespace

int run_route(const RouteOptions& options) {
  const Progress progress = console_progress();
  const ResultAll<job::Installation> installation = job::open_job(options.job, progress, options.read);
  if (!installation) return report_failure(installation.error());
  const Result<duct::DuctId> duct = wanted_duct(*installation, options.duct);
  if (!duct) return report_failure({duct.error()});
  if (const auto free = refuse_kept_before(options, *installation); !free) return report_failure({free.error()});
  routing::SearchOptions search{.effort = options.effort,
                                .time_s = options.time_s,
                                .seed = options.seed,
                                .repair = options.repair,
                                .suggest = !options.repair,
                                .ways_out = true};
  for (const std::string& weight : options.weights) {
    if (const auto set = routing::set_weight(weight, search.weights); !set) return report_failure({set.error()});
  }
  std::optional<duct::Stock> stock;
  if (!options.stock.empty()) {
    auto read = job::open_stock(options.stock, installation->workshop);
    if (!read) return report_failure(read.error());
    stock = std::move(*read);
    search.stock = &*stock;
  } else if (installation->stock) {
    search.stock = &*installation->stock;
  }
  const auto result = routing::find_routes(*installation, *duct, search, progress);
  if (!result) return report_failure({result.error()});
  end_progress();
  print_notes(installation->notes);
  print(report_text(*installation, *result) + "\n" + effort_text(*result));
  const bool wants_files = options.keep || options.take > 0;
  if (wants_files && result->cancelled) print("Nothing was written.\n");
  if (wants_files && !result->cancelled) {
    if (const auto refused = refuse_take(options, *result); !refused) return report_failure({refused.error()});
    const auto written = write_routes(options, *installation, result->routes, progress);
    if (!written) return report_failure({written.error()});
    for (const std::string& line : *written) print(line + "\n");
  }
  constexpr int kCancelled = 130;
  if (result->cancelled) return kCancelled;
  return result->routes.empty() ? 1 : 0;
}

}  // namespace baywright::app
