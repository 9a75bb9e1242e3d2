#include "duct/route.hpp"

#include <array>

namespace baywright::duct {

std::string_view name(HoseEnd end) { return end == HoseEnd::upstream ? "upstream" : "downstream"; }
std::string_view name(ScrewSide side) { return side == ScrewSide::clockwise ? "clockwise" : "counter-clockwise"; }

std::string_view name(Service s) {
  switch (s) {
    case Service::raw_air:
      return "raw air";
    case Service::intake:
      return "intake";
    case Service::charge_hot:
      return "charge hot";
    case Service::charge_cold:
      return "charge cold";
    case Service::breather:
      return "breather";
  }
  return "";
}

std::string_view kind_name(const FittingKind& kind) {
  constexpr std::array<std::string_view, 8> kNames = {"sensor tube", "coupler", "reducer",           "branch port",
                                                      "bracket",     "tap",     "flow straightener", "drain"};
  static_assert(kNames.size() == std::variant_size_v<FittingKind>);
  return kNames[kind.index()];
}

}  // namespace baywright::duct
