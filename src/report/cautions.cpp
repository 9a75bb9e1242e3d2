#include "report/report.hpp"

namespace baywright::report {

// Sixteen points of workshop practice every report has to carry. Order is kept: first what the report is worth, then
// measuring and working at the vehicle, then what may happen once the engine runs.
const std::vector<std::string>& cautions() {
  static const std::vector<std::string> kCautions = {
      "This report compares geometry and an estimate of flow with stated limits. It approves nothing: whether the "
      "vehicle is safe, legal, clean enough and strong enough is for a qualified person to judge on the finished "
      "vehicle, under the law of the place.",
      "The results speak only of the parts, attitudes and movements listed here. Whatever is missing from those lists "
      "was not looked at, however close it may be.",
      "Before reaching in to measure: engine stopped, battery disconnected, everything cooled down. Fans and belts can "
      "start turning without notice, and surfaces stay hot for a long time.",
      "Air under pressure turns caps and hoses into projectiles. Tie them back, feed air through a regulator and wear "
      "eye protection.",
      "One forgotten rag, chip or screw on the clean side ends the compressor. Keep open ends covered, clean every "
      "tube inside, and look through it before the last joint is closed.",
      "Hoses that carry hot charge air burn the skin, and oil mist can catch fire on a turbine. Keep breather joints "
      "and oil-wet hoses away from the space above the turbine.",
      "Crankcase gas belongs back in the engine, not in the open air. Emission sensors stay where their supplier puts "
      "them and are never bypassed.",
      "Where this report says undecided, take the measurement on the vehicle before it is driven.",
      "Engine movement under load is watched with a camera: wheels chocked, nobody ahead of, beside or under the "
      "vehicle, nobody leaning into the bay.",
      "An open inlet on a running engine pulls in fingers and cloth; guard it. A diesel that draws its own breather "
      "oil "
      "can run away: check oil level and separator, and keep a means at hand to shut its air off.",
      "Before welding on the vehicle disconnect battery and control units. Fuel and oil burn, fumes from zinc and "
      "chromium are poisonous, and shielding gas takes the place of the air you breathe.",
      "Fluoroelastomer that has been overheated may have turned into hydrofluoric acid. Keep bare hands off such "
      "hoses and seals.",
      "Lower every raised attachment and secure the bonnet before working. A fine jet of hydraulic oil that meets the "
      "turbine ignites.",
      "Snow or ice that closes the air intake or the breather lets pressure build up in the crankcase.",
      "A wing, bulkhead or bonnet that has been cut may have lost strength. Have brakes and steering inspected when "
      "the "
      "work is done.",
      "A requirement that is met on an assumed movement is not thereby proven: measure how far the engine really "
      "moves.",
  };
  return kCautions;
}

}  // namespace baywright::report
