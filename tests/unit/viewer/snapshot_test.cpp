#include "viewer/snapshot.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

#include <vtkImageData.h>
#include <vtkNew.h>
#include <vtkPNGReader.h>
#include <vtkSmartPointer.h>

#include "tests/unit/viewer/small_bay.hpp"

using namespace baywright;
using View = report::PictureRequest::View;

namespace {

constexpr int kWidth = 300, kHeight = 200;

Result<std::string> picture(const job::Installation& in, View view, const checks::Finding* finding = nullptr) {
  return viewer::snapshot_png(in, {}, {view, finding, kWidth, kHeight});
}

struct Pixels {
  int width = 0, height = 0;
  std::vector<std::array<unsigned char, 3>> rgb;
  /// Share of the commonest colour above the caption, the background if little is drawn.
  double background() const {
    const auto white = [](const auto& p) { return p[0] > 250 && p[1] > 250 && p[2] > 250; };
    return static_cast<double>(std::count_if(rgb.begin(), rgb.end(), white)) / static_cast<double>(rgb.size());
  }
  std::size_t colors() const { return std::set<std::array<unsigned char, 3>>(rgb.begin(), rgb.end()).size(); }
};

Pixels decoded(const std::string& png) {
  vtkNew<vtkPNGReader> reader;
  reader->SetMemoryBuffer(png.data());
  reader->SetMemoryBufferLength(static_cast<vtkIdType>(png.size()));
  reader->Update();
  auto* image = reader->GetOutput();
  const int* size = image->GetDimensions();
  Pixels pixels{size[0], size[1], {}};
  const auto* p = static_cast<const unsigned char*>(image->GetScalarPointer());
  for (int i = 0; i < size[0] * size[1]; ++i) pixels.rgb.push_back({p[3 * i], p[3 * i + 1], p[3 * i + 2]});
  return pixels;
}

}  // namespace

TEST_CASE("A picture of nothing is a picture with an empty bay", "[viewer]") {
  const job::Installation empty;
  const auto png = picture(empty, View::from_left);
  REQUIRE(png);
  CHECK(decoded(*png).width == kWidth);
}

TEST_CASE("Impossible requests are refused with a reason", "[viewer]") {
  const auto in = test::small_bay(8);
  const auto tiny = viewer::snapshot_png(in, {}, {View::from_left, nullptr, 10, 200});
  REQUIRE_FALSE(tiny);
  CHECK(tiny.error().code == ErrorCode::bad_value);
  const auto nowhere = picture(in, View::close_up, nullptr);
  REQUIRE_FALSE(nowhere);
  CHECK(nowhere.error().code == ErrorCode::bad_value);
  checks::Finding missing;
  missing.outcome = measure::NotAssessed{"no flow given", {"flow"}};
  CHECK_FALSE(picture(in, View::close_up, &missing));
}

TEST_CASE("Views are PNGs of the asked size with something on them, the same bytes twice", "[viewer]") {
  const auto in = test::small_bay(20);
  std::set<std::string> different;
  for (const auto view : {View::from_left, View::from_top, View::from_front, View::oblique}) {
    const auto first = picture(in, view);
    REQUIRE(first);
    const auto pixels = decoded(*first);
    CHECK(pixels.width == kWidth);
    CHECK(pixels.height == kHeight);
    CHECK(pixels.background() < 0.95);
    CHECK(pixels.colors() > 50);
    different.insert(*first);
    const auto again = picture(in, view);
    REQUIRE(again);
    CHECK(*first == *again);
  }
  CHECK(different.size() == 4);
}

TEST_CASE("What was drawn before leaves no trace in the next picture", "[viewer]") {
  const auto in = test::small_bay(12);
  const auto finding = test::clearance_finding(in, "alternator", 50);
  const auto before = picture(in, View::from_top);
  REQUIRE(picture(in, View::close_up, &finding));
  const auto other = test::small_bay(16);
  REQUIRE(picture(other, View::from_front));
  REQUIRE(picture(other, View::oblique));
  const auto after = picture(in, View::from_top);
  REQUIRE(before);
  REQUIRE(after);
  CHECK(*before == *after);
}

TEST_CASE("A close-up shows the pose its finding was measured at", "[viewer]") {
  const auto in = test::small_bay(12);
  auto finding = test::clearance_finding(in, "alternator", 50);
  const auto rest = picture(in, View::close_up, &finding);
  PosedState rolled;
  rolled.bodies = {BodyState{}, BodyState{0, in.bay.bodies[1].motion.members()[0].to}};
  std::get<measure::Measured>(finding.outcome).pose = rolled;
  const auto moved = picture(in, View::close_up, &finding);
  REQUIRE(rest);
  REQUIRE(moved);
  const auto a = decoded(*rest), b = decoded(*moved);
  std::size_t changed = 0;
  for (std::size_t i = 0; i < a.rgb.size(); ++i) changed += a.rgb[i] != b.rgb[i];
  CHECK(changed > a.rgb.size() / 100);
}
