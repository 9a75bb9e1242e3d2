// Clamp access in a bay of millions of triangles: the charts of eight clamps along the duct of the speed benchmark's
// scene, 144 screw positions each, every suitable tool of the usual box, with one large opening above. Argument:
// millions of triangles. Wall time on all cores.
#include <benchmark/benchmark.h>

#include "access/chart.hpp"
#include "bay_scene.hpp"

namespace baywright {
namespace {

using access::ClampSite;

/// Clamps on hoses that go over the tube: one on each of eight straight lengths spread along it.
std::vector<ClampSite> clamps_on(const std::vector<Primitive>& duct) {
  std::vector<Cylinder> straights;
  for (const Primitive& p : duct) {
    const auto* s = std::get_if<Cylinder>(&p.shape);
    if (s && (s->b - s->a).norm() > 20) straights.push_back(*s);
  }
  std::vector<ClampSite> sites;
  for (std::size_t i = 0; i < 8 && !straights.empty(); ++i) {
    const Cylinder& s = straights[i * straights.size() / 8];
    ClampSite site;
    site.duct = duct::DuctId("duct");
    site.coupler = duct::FittingId("C" + std::to_string(i));
    site.name = site.coupler.value;
    site.center = 0.5 * (s.a + s.b);
    site.along = (s.b - s.a).normalized();
    site.hose_radius_mm = s.radius_mm + 4;
    site.type = catalog::usual_clamps()[1];
    sites.push_back(std::move(site));
  }
  return sites;
}

struct Case {
  access::Scene scene;
  std::vector<ClampSite> sites;
  std::vector<access::OpeningView> openings;
};

Case make_case(std::size_t triangles) {
  const bench::BayScene bay = bench::bay_scene(triangles);
  Case out;
  access::Obstacle surroundings;
  surroundings.name = "part bay";
  surroundings.tree = TriTree::over(bay.surroundings);
  out.scene.obstacles.push_back(std::move(surroundings));
  access::Obstacle duct;
  duct.name = "duct";
  duct.tree = TriTree::over(bench::duct_mesh(bay.duct, 0.2));
  duct.chord_error_mm = 0.2;
  out.scene.obstacles.push_back(std::move(duct));
  out.sites = clamps_on(bay.duct);
  const Aabb box = out.scene.obstacles[1].tree.bounds();
  bay::AccessOpening opening;
  opening.id = bay::OpeningId("top");
  const double z = box.hi.z() + 250;
  opening.outline_mm = {{box.lo.x() - 300, box.lo.y() - 300, z},
                        {box.hi.x() + 300, box.lo.y() - 300, z},
                        {box.hi.x() + 300, box.hi.y() + 300, z},
                        {box.lo.x() - 300, box.hi.y() + 300, z}};
  out.openings.emplace_back(opening, box.center());
  return out;
}

void clamp_charts(benchmark::State& state) {
  const Case c = make_case(static_cast<std::size_t>(state.range(0)) * 1'000'000);
  const bool with_openings = state.range(1) != 0;
  const std::vector<catalog::Tool> table = catalog::usual_tools();
  const std::vector<access::ScrewPosition> positions = access::all_positions();
  std::array<double, 8> by{};
  for ([[maybe_unused]] auto step : state) {
    by = {};
    for (const ClampSite& site : c.sites) {
      const auto chart = access::chart_of(
          site,
          {c.scene, with_openings ? std::span(c.openings) : std::span<const access::OpeningView>(), table, positions});
      for (const access::PositionAt& at : chart->positions) {
        for (const access::ToolAt& tool : at.tools) by[static_cast<std::size_t>(tool.hindrance)] += 1;
      }
    }
  }
  for (std::size_t i = 0; i < by.size(); ++i) {
    state.counters[std::string(name(static_cast<access::Hindrance>(i)))] = by[i];
  }
}
BENCHMARK(clamp_charts)
    ->Args({1, 0})
    ->Args({1, 1})
    ->Args({5, 0})
    ->Args({5, 1})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->Iterations(1);

}  // namespace
}  // namespace baywright

BENCHMARK_MAIN();
