// What the whole flow computation of an intake costs, so that a drag could show it: path, filter fit, march and gauge
// readings, clean and dirty, with a raw air duct ahead. The example intake of the tests: two bends, two humps, sensor,
// branch, cone.
#include <benchmark/benchmark.h>

#include "flow/budget.hpp"
#include "flow/flow_model.hpp"
#include "tests/support/example_intake.hpp"

namespace baywright {
namespace {

struct Scene {
  bay::Bay bay = test::example_bay();
  flow::FlowInputs inputs = test::example_flow();
  std::vector<duct::Duct> ducts;

  Scene() {
    bay.ports.push_back(test::port("hood", {-800, 0, 0}, Vec3::UnitX(), 90, 0));
    bay.ports.push_back(test::port("filter-in", {-300, 0, 0}, -Vec3::UnitX(), 90, 0));
    duct::DuctSpec raw;
    raw.id = duct::DuctId("raw-air");
    raw.service = duct::Service::raw_air;
    raw.from.port = bay::PortId("hood");
    raw.to.port = bay::PortId("filter-in");
    raw.tube = {90, 1.65};
    raw.entry = duct::Bellmouth{8.6, false};
    raw.route.points = {{duct::PointId("R0"), {-800, 0, 0}, 0}, {duct::PointId("R1"), {-300, 0, 0}, 0}};
    inputs.components[0].inlet = bay::PortId("filter-in");
    inputs.raw_air_loss.reset();
    ducts = {test::laid_out(test::example_spec(), bay), test::laid_out(raw, bay)};
  }
};

void whole_flow(benchmark::State& state) {
  Scene scene;
  scene.inputs.rated = kilograms_per_second(0.01 * static_cast<double>(state.range(0)));
  for (auto _ : state) {
    for (const flow::FilterState filter : {flow::FilterState::clean, flow::FilterState::dirty}) {
      const auto outcome = flow::restriction(scene.ducts[0], scene.inputs, filter, scene.ducts);
      const auto& known = std::get<flow::Restriction>(outcome);
      benchmark::DoNotOptimize(flow::gauge_readings(scene.ducts[0], known, scene.inputs));
    }
  }
}
// 0.1 kg/s: Mach 0.07, one step an element; 0.15 and 0.4: above 0.1, twenty.
BENCHMARK(whole_flow)->Arg(10)->Arg(15)->Arg(40)->Unit(benchmark::kMicrosecond);

void indicator(benchmark::State& state) {
  const Scene scene;
  const flow::Budget budget{flow::PressureKind::static_, std::string(flow::kCompressorFace), kilopascals(6)};
  for (auto _ : state) {
    benchmark::DoNotOptimize(flow::indicator_settings({scene.ducts[0], scene.inputs, scene.ducts}, budget));
  }
}
BENCHMARK(indicator)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace baywright

BENCHMARK_MAIN();
