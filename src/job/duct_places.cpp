#include "job/duct_places.hpp"

#include "duct/fitting_layout.hpp"

namespace baywright::job {
namespace {

/// Pointer within the duct of what `where` calls by its name.
std::string place_in_duct(const duct::DuctSpec& spec, const std::string& where) {
  const auto& points = spec.route.points;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const std::string at = "/route/" + std::to_string(i);
    if (where == "point " + points[i].id.value) return at;
    // A leg is mended at its end as well as at its start; the start names it.
    if (i + 1 < points.size() && where == "leg " + points[i].id.value + " - " + points[i + 1].id.value) return at;
  }
  for (std::size_t i = 0; i < spec.fittings.size(); ++i) {
    const duct::Fitting& fitting = spec.fittings[i];
    if (where == "fitting " + fitting.id.value || where == duct::fitting_name(fitting.id, fitting.kind)) {
      return "/fittings/" + std::to_string(i);
    }
  }
  for (const char* key : {"from", "to", "tube", "route"}) {
    if (where == key) return std::string("/") + key;
  }
  return "";
}

}  // namespace

std::optional<std::string> place_in_ducts(const Job& job, const Error& error) {
  for (std::size_t i = 0; i < job.ducts.size(); ++i) {
    const std::string owner = "duct " + job.ducts[i].id.value + ": ";
    if (!error.where.starts_with(owner)) continue;
    return "/ducts/" + std::to_string(i) + place_in_duct(job.ducts[i], error.where.substr(owner.size()));
  }
  return std::nullopt;
}

}  // namespace baywright::job
