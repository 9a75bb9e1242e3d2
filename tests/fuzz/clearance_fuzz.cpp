// Cases built from bytes: whatever they say, the bracket is a true one. With clang this is a target of its fuzzer
// (preset `fuzz`); otherwise, and in the tests, main() below feeds it seeded bytes. A case that fails is printed as hex
// and can be given again: clearance_fuzz HEX.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "random_scenes.hpp"
#include "tests/support/case_count.hpp"

namespace baywright {
namespace {

using test::Random;

[[noreturn]] void broken(std::span<const std::uint8_t> bytes, const char* what, double a, double b) {
  std::fprintf(stderr, "%s: %.9g and %.9g\ncase ", what, a, b);
  for (const std::uint8_t byte : bytes) std::fprintf(stderr, "%02x", byte);
  std::fprintf(stderr, "\n");
  std::abort();
}

/// What scans and STEP meshes may hold and a random scene does not: no numbers, far away, no area, the same twice.
void spoil(Random& random, TriMesh& mesh) {
  const int count = random.below(4);
  for (int i = 0; i < count && !mesh.vertices.empty(); ++i) {
    Vec3f& v = mesh.vertices[static_cast<std::size_t>(random.below(static_cast<int>(mesh.vertices.size())))];
    const Vec3f& other = mesh.vertices[static_cast<std::size_t>(random.below(static_cast<int>(mesh.vertices.size())))];
    switch (random.below(5)) {
      case 0:
        v.x() = std::numeric_limits<float>::quiet_NaN();
        break;
      case 1:
        v.y() = std::numeric_limits<float>::infinity();
        break;
      case 2:
        v.z() = static_cast<float>(random.in(-1e6, 1e6));
        break;
      case 3:
        v = other;
        break;
      default:
        mesh.triangles.push_back(mesh.triangles.front());
    }
  }
}

test::Scene scene_of(Random& random) {
  const int kind = random.below(5);
  test::Scene s = kind == 4 ? test::random_joint(random) : test::random_scene(random, (kind & 1) != 0, (kind & 2) != 0);
  spoil(random, s.mesh);
  s.tree = TriTree::over(s.mesh);
  return s;
}

}  // namespace

struct Tally {
  long cases = 0, beyond = 0, inside = 0, given_up = 0;
} tally;

void try_case(std::span<const std::uint8_t> bytes) {
  Random random(bytes);
  const test::Scene s = scene_of(random);
  const ClearanceOptions options{random.in(0.01, 2), random.in(-5, 200)};
  // Several freely turning bodies may take seconds; they report, and are given up: not what is looked for here.
  Progress progress;
  progress = Progress([&](std::string_view, double) { progress.cancel(); });
  const Bracket b = clearance(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, options, progress);
  ++tally.cases;
  if (progress.cancelled()) {
    ++tally.given_up;
    return;
  }
  tally.beyond += b.beyond_range;
  tally.inside += b.hi_mm < 0;
  if (std::isnan(b.lo_mm) || std::isnan(b.hi_mm)) broken(bytes, "not a number", b.lo_mm, b.hi_mm);
  if (b.beyond_range) {
    if (b.lo_mm < options.range_mm - 1e-9) broken(bytes, "beyond, but not the range", b.lo_mm, options.range_mm);
  } else {
    if (!(b.lo_mm <= b.hi_mm)) broken(bytes, "the wrong way round", b.lo_mm, b.hi_mm);
    if (b.hi_mm < options.range_mm && b.cells < 400'000 && b.hi_mm - b.lo_mm > options.width_mm + 1e-9) {
      broken(bytes, "too wide", b.lo_mm, b.hi_mm);
    }
    const Bracket again = clearance_at(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, b.state, {0.1, 1e9});
    if (std::abs(again.hi_mm - b.hi_mm) > 1e-4) broken(bytes, "not attained", b.hi_mm, again.hi_mm);
  }
  for (int i = 0; i < 12; ++i) {
    const PosedState state = test::random_state(random, s.kinematics);
    const Bracket at = clearance_at(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, state, {0.1, 1e9});
    if (at.hi_mm < b.lo_mm - 1e-6) broken(bytes, "something nearer than lo", b.lo_mm, at.hi_mm);
  }
}

}  // namespace baywright

#if defined(BAYWRIGHT_FUZZER)

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  baywright::try_case({data, size});
  return 0;
}

#else

/// clearance_fuzz [CASES [SEED]] or clearance_fuzz HEX
int main(int count, char** arguments) {
  const std::string first = count > 1 ? arguments[1] : "2000";
  if (first.size() > 9) {
    std::vector<std::uint8_t> bytes;
    for (std::size_t i = 0; i + 1 < first.size(); i += 2) {
      bytes.push_back(static_cast<std::uint8_t>(std::stoi(first.substr(i, 2), nullptr, 16)));
    }
    baywright::try_case(bytes);
    return 0;
  }
  const long cases = baywright::test::case_count(std::stol(first));
  std::mt19937 engine(count > 2 ? static_cast<unsigned>(std::stoul(arguments[2])) : 1U);
  for (long i = 0; i < cases; ++i) {
    // Mostly few different values: coincidences, and the ends of every range.
    std::vector<std::uint8_t> bytes(8 + engine() % 400);
    const auto kinds = engine() % 3;
    for (std::uint8_t& byte : bytes) {
      const auto any = static_cast<std::uint8_t>(engine());
      byte = kinds == 0 || engine() % 2 ? any : static_cast<std::uint8_t>(kinds == 1 ? 0xFF * (any & 1U) : any & 0xC0U);
    }
    baywright::try_case(bytes);
  }
  using baywright::tally;
  std::printf("%ld cases: %ld beyond the range, %ld inside, %ld given up\n", tally.cases, tally.beyond, tally.inside,
              tally.given_up);
  return 0;
}

#endif
