#include "routing/comes_out.hpp"

#include <algorithm>

#include "access/ways_out.hpp"
#include "checks/check.hpp"
#include "job/lay_out_ducts.hpp"

namespace baywright::routing {
namespace {

constexpr const char* kAssemble = "cr.assemble";

/// Answers of a job without what was said of one duct's pieces coming out. What was said of every duct holds of the
/// others, but where something was said of one of them.
std::vector<checks::Answer> not_of(const duct::DuctId& id, const job::Installation& installation) {
  const std::vector<checks::Answer>& given = installation.job.answers;
  const auto said_of = [&](const duct::DuctId& duct) {
    return std::any_of(given.begin(), given.end(),
                       [&](const checks::Answer& a) { return a.check == kAssemble && a.duct == duct; });
  };
  std::vector<checks::Answer> answers;
  for (const checks::Answer& answer : given) {
    if (answer.check != kAssemble || (!answer.duct.empty() && answer.duct != id)) {
      answers.push_back(answer);
    } else if (answer.duct.empty()) {
      for (const duct::Duct& duct : installation.ducts) {
        if (duct.spec.id == id || said_of(duct.spec.id)) continue;
        answers.push_back(answer);
        answers.back().duct = duct.spec.id;
      }
    }
  }
  return answers;
}

/// Whether somebody said of just this duct, as it lies in the job, whether its pieces come out.
bool answered(const job::Installation& installation, const JudgedRoute& route) {
  const auto& ducts = installation.job.ducts;
  const bool as_it_lies = route.moves.empty() && std::find(ducts.begin(), ducts.end(), route.spec) != ducts.end();
  const auto& answers = installation.job.answers;
  return as_it_lies && std::any_of(answers.begin(), answers.end(), [&](const checks::Answer& a) {
           return a.check == kAssemble && (a.duct.empty() || a.duct == route.spec.id);
         });
}

bool found_for(const access::WaysOut& ways, const access::PieceWay& piece) {
  return std::any_of(ways.pieces.begin(), ways.pieces.end(), [&](const access::PieceWay& way) {
    return way.found && way.duct == piece.duct && way.piece == piece.piece;
  });
}

}  // namespace

std::optional<ComesOut> how_it_comes_out(const job::Installation& installation, const JudgedRoute& route,
                                         std::shared_ptr<const access::WaysOut>& as_given, const Progress& progress) {
  if (answered(installation, route)) return std::nullopt;
  const duct::DuctId& id = route.spec.id;
  job::Installation with = installation;
  for (const PartMove& move : route.moves) with = with_moved(with, move);
  for (duct::DuctSpec& spec : with.job.ducts) {
    if (spec.id == id) spec = route.spec;
  }
  auto ducts = job::lay_out_ducts(with.job.ducts, with.bay);
  if (!ducts) return std::nullopt;
  with.ducts = std::move(*ducts);
  with.job.answers = not_of(id, with);
  const auto ways = checks::measure_ways(with.judged(), progress);
  if (!ways) return std::nullopt;
  ComesOut out;
  for (const access::PieceWay& way : ways->pieces) {
    if (way.duct == id) {
      if (!way.missing.empty()) return std::nullopt;
      ++out.pieces;
      if (!way.found) out.stay.push_back(way.piece);
      continue;
    }
    if (way.found || !way.missing.empty()) continue;
    if (!as_given) {
      job::Installation given = installation;
      given.job.answers = with.job.answers;
      as_given = checks::measure_ways(given.judged(), progress);
      if (!as_given) return std::nullopt;
    }
    if (found_for(*as_given, way)) out.shut_in.push_back(way.piece + " of duct " + way.duct.value);
  }
  return out;
}

}  // namespace baywright::routing
