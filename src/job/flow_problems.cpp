#include "job/flow_problems.hpp"

#include <algorithm>
#include <cstdio>
#include <string>

#include "job/job_problems.hpp"

namespace baywright::job {
namespace {

void rated_twice(const Job& job, std::vector<JobProblem>& problems) {
  if (!job.flow.rated || !job.flow.engine) return;
  flow::FlowInputs of_engine = job.flow;
  of_engine.rated.reset();
  std::string message = "is stated beside rated_kg_per_s";
  if (const auto rated = flow::rated_flow(of_engine)) {
    char text[64];
    std::snprintf(text, sizeof text, " (%.4g kg/s; the engine gives %.4g)", job.flow.rated->si(), rated->si());
    message += text;
  }
  problems.push_back({"/flow/engine", message + ": both say what the engine draws; keep one of them"});
}

void entry(const Job& job, std::size_t index, std::vector<JobProblem>& problems) {
  const duct::DuctSpec& spec = job.ducts[index];
  if (!spec.entry) return;
  const std::string at = item("/ducts", index) + "/entry";
  if (spec.service != duct::Service::raw_air) {
    problems.push_back({at, "stands on a duct for " + std::string(duct::name(spec.service)) +
                                "; only a raw air duct draws from outside"});
    return;
  }
  if (!spec.from.duct.empty()) {
    problems.push_back({at, "stands on a duct that begins at duct \"" + spec.from.duct.value +
                                "\"; only a duct that begins outside draws in air"});
    return;
  }
  const auto& all = job.flow.components;
  const bool leads_on = std::any_of(all.begin(), all.end(), [&](const flow::Component& c) {
    return c.inlet && !c.inlet->empty() && *c.inlet == spec.to.port;
  });
  if (leads_on && job.flow.raw_air_loss) {
    problems.push_back({"/flow/raw_air_loss_kPa", "is stated, and so is how the air enters duct \"" + spec.id.value +
                                                      "\", from which that loss follows; keep one of them"});
  }
}

void corrugations(const Job& job, std::size_t index, std::vector<JobProblem>& problems) {
  const auto& fittings = job.ducts[index].fittings;
  for (std::size_t i = 0; i < fittings.size(); ++i) {
    const auto* coupler = std::get_if<duct::Coupler>(&fittings[i].kind);
    if (!coupler || !coupler->corrugation_mm || !coupler->loss_coefficient) continue;
    problems.push_back({item(item("/ducts", index) + "/fittings", i) + "/corrugation_mm",
                        "is stated beside loss_coefficient, which stands for the whole hose; keep one of them"});
  }
}

/// A hose is not welded of pieces: the elbow turns at the point its leg leads to.
void welded_elbows(const Job& job, std::size_t index, std::vector<JobProblem>& problems) {
  const duct::DuctSpec& spec = job.ducts[index];
  const auto& points = spec.route.points;
  for (const duct::Fitting& fitting : spec.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler || coupler->shape != duct::CouplerShape::elbow || !coupler->corrugation_mm) continue;
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      if (points[i].id != fitting.anchor.leg || !points[i + 1].pieces) continue;
      problems.push_back({item(item("/ducts", index) + "/route", i + 1) + "/pieces",
                          "stands at the bend of corrugated elbow \"" + fitting.id.value +
                              "\", and a hose is not welded of pieces; keep one of them"});
    }
  }
}

void boosts(const Job& job, std::vector<JobProblem>& problems) {
  const auto& engine = job.flow.engine;
  const auto& charge = job.flow.charge;
  if (!engine || !charge || !charge->boost || !(engine->manifold_boost > *charge->boost)) return;
  char text[64];
  std::snprintf(text, sizeof text, "is above flow/charge/boost_kPa (%.4g)", charge->boost->si() / 1000);
  problems.push_back({"/flow/engine/manifold_boost_kPa",
                      std::string(text) + ": there is no more pressure in the manifold than at the compressor outlet"});
}

void coolers(const Job& job, std::vector<JobProblem>& problems) {
  if (!job.flow.charge || !job.flow.charge->cooler) return;
  const flow::ChargeCooler& cooler = *job.flow.charge->cooler;
  if (!cooler.effectiveness || !cooler.conductance_W_K) return;
  problems.push_back({"/flow/charge/cooler/conductance_W_per_K",
                      "is stated beside effectiveness, which follows from it; keep one of them"});
}

void crankcase_gas(const Job& job, std::vector<JobProblem>& problems) {
  const auto rated = flow::rated_flow(job.flow);
  if (!rated || !job.flow.crankcase_gas || *job.flow.crankcase_gas < *rated) return;
  problems.push_back({"/flow/crankcase_gas_kg_per_s", "is no less than the rated flow, which it is a part of"});
}

}  // namespace

std::vector<JobProblem> flow_problems(const Job& job) {
  std::vector<JobProblem> problems;
  rated_twice(job, problems);
  boosts(job, problems);
  coolers(job, problems);
  crankcase_gas(job, problems);
  for (std::size_t i = 0; i < job.ducts.size(); ++i) {
    entry(job, i, problems);
    corrugations(job, i, problems);
    welded_elbows(job, i, problems);
  }
  return problems;
}

}  // namespace baywright::job
