#include "viewer/scene/label_place.hpp"

#include <catch2/catch.hpp>

#include <random>

using namespace baywright::viewer;

namespace {

bool inside(const Box2& page, const Box2& box) {
  return (box.lo.array() >= page.lo.array() - 1e-9).all() && (box.hi.array() <= page.hi.array() + 1e-9).all();
}

}  // namespace

TEST_CASE("On an empty page a label stands where it wants to", "[viewer]") {
  const Box2 page{{0, 0}, {800, 600}};
  const Box2 box = free_place(page, {120, 40}, {400, 300}, {1, 0}, {});
  CHECK((box.center() - Pixel(400, 300)).norm() < 1e-9);
  CHECK((box.hi - box.lo - Pixel(120, 40)).norm() < 1e-9);
}

TEST_CASE("A label wanted outside the page comes inside", "[viewer]") {
  const Box2 page{{6, 52}, {794, 594}};
  for (const Pixel& wanted : {Pixel(-500, 300), Pixel(400, 5000), Pixel(2000, -2000)})
    CHECK(inside(page, free_place(page, {200, 60}, wanted, {0, 1}, {})));
}

TEST_CASE("Labels keep off what is taken, and move the way they are pushed first", "[viewer]") {
  const Box2 page{{0, 0}, {800, 600}};
  const std::vector<Box2> taken = {{{350, 250}, {450, 350}}};
  for (const Pixel& push : {Pixel(1, 0), Pixel(0, -1), Pixel(-1, 0)}) {
    const Box2 box = free_place(page, {80, 40}, {400, 300}, push, taken);
    CHECK_FALSE(box.overlaps(taken[0]));
    CHECK((box.center() - Pixel(400, 300)).dot(push) > 0);
  }
}

TEST_CASE("Random labels neither overlap nor leave the page while there is room", "[viewer]") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> x(-100, 900), y(-100, 700);
  const Box2 page{{0, 0}, {800, 600}};
  for (int round = 0; round < 50; ++round) {
    std::vector<Box2> taken;
    for (int i = 0; i < 6; ++i) {
      const Box2 box = free_place(page, {160, 50}, {x(random), y(random)}, {x(random) - 400, y(random) - 300}, taken);
      CHECK(inside(page, box));
      for (const auto& other : taken) CHECK_FALSE(box.overlaps(other));
      taken.push_back(box);
    }
  }
}

TEST_CASE("On a full page a label still lies inside", "[viewer]") {
  const Box2 page{{0, 0}, {300, 200}};
  CHECK(inside(page, free_place(page, {100, 50}, {150, 100}, {1, 0}, {page})));
}

TEST_CASE("A line is covered by its boxes from end to end", "[viewer]") {
  const auto boxes = boxes_along({10, 20}, {210, 120}, 24);
  for (int i = 0; i <= 100; ++i) {
    const Pixel p = Pixel(10, 20) + i / 100.0 * Pixel(200, 100);
    const Box2 point{p - Pixel(0.01, 0.01), p + Pixel(0.01, 0.01)};
    CHECK(std::any_of(boxes.begin(), boxes.end(), [&](const Box2& b) { return b.overlaps(point); }));
  }
}
