#include <catch2/catch.hpp>

#include "report/report.hpp"
#include "sample.hpp"

using namespace baywright;
using sample::has;
using sample::page_of;

namespace {

/// From a heading to the next one.
std::string block(const std::string& page, const std::string& heading) {
  const std::size_t at = page.find("<h3>" + heading);
  REQUIRE(at != std::string::npos);
  return page.substr(at, page.find("<h", at + 4) - at);
}

/// The sample with its intake's course as a duct on either side of a cooler, and what the charge air needs.
sample::Sample charged() {
  sample::Sample s = sample::make_sample();
  for (const auto& [id, service] :
       {std::pair("hot", duct::Service::charge_hot), std::pair("cold", duct::Service::charge_cold)}) {
    duct::Duct copy = s.installation.ducts.front();
    copy.spec.id = duct::DuctId(id);
    copy.spec.service = service;
    s.installation.ducts.push_back(copy);
  }
  flow::ChargeInputs charge;
  charge.boost = kilopascals(150);
  charge.outlet_temperature = celsius(160);
  charge.cooler = flow::ChargeCooler{123.0 / 135, celsius(25), kilopascals(8)};
  s.installation.job.flow.charge = charge;
  return s;
}

}  // namespace

TEST_CASE("charge air: duty in both units, effectiveness, temperatures; what is missing is named") {
  sample::Sample s = charged();
  s.installation.job.flow.rated = kilograms_per_second(0.170);
  const std::string charge = block(page_of(s), "Charge air at the rating");
  CHECK(has(charge, "160.0 °C"));
  CHECK(has(charge, "37.0 °C"));
  CHECK(has(charge, "0.91 \u00B10.03"));
  CHECK(has(charge, "21.0 \u00B10.7 kW (1196 \u00B139 BTU/min)"));  // 0.170 * 1006 * 123 W
  CHECK(has(charge, "as stated"));
  // The copies hold a sensor nobody stated the loss of: the density waits for that.
  CHECK(has(charge, "not checked"));
  CHECK(has(charge, "at least, without: "));
  s.installation.job.flow.charge->cooler->effectiveness.reset();
  CHECK(has(block(page_of(s), "Charge air at the rating"), "flow/charge/cooler/effectiveness"));
  CHECK_FALSE(has(page_of(sample::make_sample()), "Charge air at the rating"));
  const std::string air = block(page_of(s), "Air");
  CHECK(has(air, "<td>Boost at the rating</td><td>150.00 kPa</td>"));
  CHECK(has(air, "Loss to behind the cooler"));
  CHECK_FALSE(has(air, "Effectiveness of the cooler"));
}

TEST_CASE("the breather's block tells an assumed share from a stated one") {
  sample::Sample s = sample::make_sample();
  const std::string assumed = block(page_of(s), "What the breather finds at the intake");
  CHECK(has(assumed, "assumed: the job states no crankcase gas"));
  CHECK(has(assumed, "1.0 %"));
  s.installation.job.flow.crankcase_gas = kilograms_per_second(0.003);
  const std::string stated = block(page_of(s), "What the breather finds at the intake");
  CHECK(has(stated, "as stated"));
  CHECK(has(stated, "2.0 %"));
  s.installation.job.flow.ambient.reset();
  CHECK_FALSE(has(page_of(s), "What the breather finds at the intake"));
}

TEST_CASE("places for the sensor are ranked with the origin of each rule, or not at all") {
  sample::Sample s = sample::make_sample();
  s.installation.sheet.limits.erase("sn.down");
  CHECK(has(block(page_of(s), "Places for the sensor"), "Not ranked"));
  s.installation.sheet.limits["sn.down"] = sample::limit(checks::Comparison::at_least, 76.2, Unit::mm);
  const std::string ranked = block(page_of(s), "Places for the sensor");
  CHECK(has(ranked, "the sensor&#39;s run now"));
  CHECK(has(ranked, " bores"));
  CHECK(has(ranked, "<span class=\"id\">sn.up</span>"));
  CHECK(has(ranked, "common practice, no source"));
  CHECK(has(ranked, "bend at P1 to "));
  s.installation.job.units.length = LengthUnit::inch;
  CHECK(has(block(page_of(s), "Places for the sensor"), "Station, in"));
}

TEST_CASE("every loss of the table has its band, and the pressures behind it stand below") {
  const std::string page = page_of(sample::make_sample());
  // A bend of 118 Pa, 10 %.
  CHECK(has(page, "0.118<small> \u00B10.012</small>"));
  // Outside 99 kPa; behind the filter 350 and 1500 Pa are lost.
  const std::size_t at = page.find("Pressure along the duct");
  REQUIRE(at != std::string::npos);
  const std::string along = page.substr(at, page.find("</details>", at) - at);
  CHECK(has(along, "1.85"));
  CHECK(has(along, "3.46"));
}

TEST_CASE("what lies ahead of the duct has no station on it, and the strip shows both pressures along it") {
  const sample::Sample s = sample::make_sample();
  const std::string page = page_of(s);
  CHECK(has(page, "<td>filter</td><td class=\"n\">ahead</td>"));
  CHECK_FALSE(has(page, "<td>filter</td><td class=\"n\">0.0</td>"));
  CHECK(has(page, "Below outside, kPa, clean filter"));
  CHECK(has(page, "class=\"total_line\""));
  sample::Sample dirty = s;
  dirty.evaluation.ducts.front().measures.clean = measure::NotAssessed{"no clean curve", {}};
  CHECK(has(page_of(dirty), "Below outside, kPa, filter due for change"));
  dirty.evaluation.ducts.front().measures.dirty = measure::NotAssessed{"no dirty curve", {}};
  CHECK_FALSE(has(page_of(dirty), "Below outside, kPa"));
}

TEST_CASE("an effectiveness that is worked out says of which arrangement, and what others would have") {
  sample::Sample s = charged();
  s.installation.job.flow.rated = kilograms_per_second(0.170);
  auto& cooler = *s.installation.job.flow.charge->cooler;
  cooler.effectiveness.reset();
  cooler.conductance_W_K = 2.5 * 0.170 * 1006;
  cooler.air_flow = kilograms_per_second(0.170 / 0.6);
  const std::string charge = block(page_of(s), "Charge air at the rating");
  CHECK(has(charge, "crossflow, neither air mixed; NTU 2.50"));
  // (1 - e^(-0.6 (1 - e^-2.5)))/0.6 = 0.706; counterflow (1 - e^-1)/(1 - 0.6 e^-1) = 0.811.
  CHECK(has(charge, "Were one of them mixed: 0.71 (in the band); counterflow: 0.81"));
}

TEST_CASE("the sweep over the height says what the air is there") {
  sample::Sample s = sample::make_sample();
  s.installation.sheet.limits["in.loss_clean"] = sample::limit(checks::Comparison::at_most, 3740, Unit::pascal);
  const std::string page = page_of(s);
  CHECK(has(page, "Height as on a map"));
  CHECK(has(page, "Air, °C"));
}
