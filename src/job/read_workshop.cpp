#include <set>

#include "job/job_fields.hpp"
#include "job/job_file.hpp"

namespace baywright::job {
namespace {

constexpr const char* kToolsKey = "baywright_tools";
constexpr int kToolsVersion = 1;

Range tool_size() { return above(0, 2000); }
Range tool_size_or_none() { return at_least(0, 2000); }

WordCodec<catalog::Approach> approach() {
  return {{{catalog::Approach::axial, "axial"}, {catalog::Approach::radial, "radial"}}};
}

}  // namespace

template <class V>
void describe(V& v, Of<catalog::ToolLength>) {
  using S = catalog::ToolLength;
  v.required("name", &S::name, TextCodec{true}, "\"socket\", \"shaft\".");
  v.required("length_mm", &S::length_mm, length(tool_size()), "Along the screw's axis.");
  v.optional("diameter_mm", &S::diameter_mm, length(tool_size_or_none()), "Outer diameter, or the fixed part of it.");
  v.optional("diameter_per_hexagon", &S::diameter_per_hexagon, number(at_least(0, 10)),
             "Times the hexagon's size across flats, added.");
}

template <class V>
void describe(V& v, Of<catalog::RoundHand>) {
  using S = catalog::RoundHand;
  v.required("diameter_mm", &S::diameter_mm, length(tool_size()), "Of the hand around the handle.");
  v.required("length_mm", &S::length_mm, length(tool_size()), "From the tool's outer end.");
}

template <class V>
void describe(V& v, Of<catalog::BarHand>) {
  using S = catalog::BarHand;
  v.required("along_mm", &S::along_mm, length(tool_size()), "Along the handle, from its outer end.");
  v.required("across_mm", &S::across_mm, length(tool_size()), "In the plane of the swing.");
  v.required("axial_mm", &S::axial_mm, length(tool_size()), "Square to it.");
}

template <class V>
void describe(V& v, Of<catalog::ToolSwing>) {
  using S = catalog::ToolSwing;
  v.required("width_mm", &S::width_mm, length(tool_size()), "Of the handle in the plane of the swing.");
  v.required("thickness_mm", &S::thickness_mm, length(tool_size()), "Square to it.");
  v.required("length_mm", &S::length_mm, length(tool_size()), "From the screw's axis.");
  v.required("height_mm", &S::height_mm, length(tool_size_or_none()), "Of its middle above the screw's head.");
  v.required("least_deg", &S::least, angle(Range{1, 360}), "Net swing without which the screw does not turn on.");
  v.optional("tilt_deg", &S::tilt, angle(at_least(0, 60)), "Of the handle away from the screw.");
  v.required("hand", &S::hand, object<catalog::BarHand>(), "The hand on its end.");
}

template <class V>
void describe(V& v, Of<catalog::ToolBend>) {
  using S = catalog::ToolBend;
  v.required("from_mm", &S::from_mm, length(tool_size_or_none()), "Along the tool, from the screw's head.");
  v.optional("over_mm", &S::over_mm, length(tool_size_or_none()), "Length that bends, evenly; 0: a joint.");
  v.required("greatest_deg", &S::greatest, angle(Range{1, 180}), "That it bends by.");
}

template <class V>
void describe(V& v, Of<catalog::Pliers>) {
  using S = catalog::Pliers;
  v.required("jaw_width_mm", &S::jaw_width_mm, length(tool_size()), "Along the band.");
  v.required("jaw_thickness_mm", &S::jaw_thickness_mm, length(tool_size()), "Along the hose; of the handles too.");
  v.required("jaw_length_mm", &S::jaw_length_mm, length(tool_size()), "From where they take the tangs.");
  v.required("handle_length_mm", &S::handle_length_mm, length(tool_size()), "Beyond the jaws.");
  v.required("opens_deg", &S::opens, angle(at_least(0, 120)), "The handles, from closed to open.");
  v.required("hand", &S::hand, object<catalog::BarHand>(), "The hand on their end.");
}

template <class V>
void describe(V& v, Of<catalog::Tool>) {
  using S = catalog::Tool;
  v.required("id", &S::id, IdCodec<catalog::ToolTag>(), "Id of the tool.");
  v.required("name", &S::name, TextCodec{true}, "Name in reports.");
  v.optional("hexagons_mm", &S::hexagons_mm, list_of(length(above(0, 100)), 1, 100), "Sizes across flats.");
  v.optional("lengths", &S::lengths, list_of(object<catalog::ToolLength>(), 1, 20), "From the screw's head outward.");
  v.optional("hand", &S::hand, object<catalog::RoundHand>(), "Of a tool that rolls in the hand;");
  v.optional("swing", &S::swing, object<catalog::ToolSwing>(), "or the handle of one that swings;");
  v.optional("pliers", &S::pliers, object<catalog::Pliers>(), "or pliers for the tangs of spring bands.");
  v.exactly_one_of({{"hand"}, {"swing"}, {"pliers"}});
  v.optional("bend", &S::bend, object<catalog::ToolBend>(), "A universal joint or a flexible shaft.");
  v.optional("approach", &S::approach, approach(), "axial: pushed on; radial: slid on along its handle.");
  v.optional("lift_off_mm", &S::lift_off_mm, length(tool_size_or_none()), "Free way to put it on and take it off.");
  v.optional("greatest_stud_mm", &S::greatest_stud_mm, length(tool_size_or_none()),
             "It goes over a stud up to this long; the way off is longer by the stud.");
  v.optional("torque", &S::torque, FlagCodec(), "true: tells the torque.");
  v.required("source", &S::source, TextCodec{true}, "Where the figures come from.");
}

inline WordCodec<catalog::ClampKind> clamp_kind() {
  using Kind = catalog::ClampKind;
  return {{{Kind::worm, "worm"},
           {Kind::lined_worm, "lined worm"},
           {Kind::lug, "lug"},
           {Kind::constant_torque, "constant torque"},
           {Kind::t_bolt, "t-bolt"},
           {Kind::spring_t_bolt, "spring t-bolt"},
           {Kind::spring_band, "spring band"}}};
}

template <class V>
void describe(V& v, Of<catalog::ClampType>) {
  using S = catalog::ClampType;
  v.required("id", &S::id, IdCodec<catalog::ClampTypeTag>(), "Id of the clamp.");
  v.required("name", &S::name, TextCodec{true}, "Name in reports.");
  v.required("band_width_mm", &S::band_width_mm, length(tool_size()), "Along the hose.");
  v.required("body_length_mm", &S::body_length_mm, length(tool_size()), "Of its body along the band.");
  v.required("body_width_mm", &S::body_width_mm, length(tool_size()), "Along the hose.");
  v.required("body_height_mm", &S::body_height_mm, length(tool_size()), "Above the hose.");
  v.required("screw_height_mm", &S::screw_height_mm, length(tool_size()),
             "Above the hose: of the screw's axis, of where pliers take the tangs.");
  v.optional("hexagon_mm", &S::hexagon_mm, length(above(0, 100)),
             "Of the screw's head, across flats; a spring band has none.");
  v.optional("stud_mm", &S::stud_mm, length(tool_size_or_none()), "What sticks out beyond the nut when tight.");
  v.optional("turns_to_close", &S::turns_to_close, number(at_least(0, 1000)), "Of the screw, from put on to tight.");
  v.optional("kind", &S::kind, clamp_kind(), "How it draws its band together.");
  v.required("source", &S::source, TextCodec{true}, "Where the figures come from.");
}

template <class V>
void describe(V& v, Of<catalog::HoseMaterial>) {
  using S = catalog::HoseMaterial;
  v.required("id", &S::id, IdCodec<catalog::HoseMaterialTag>(), "Id of the material.");
  v.required("name", &S::name, TextCodec{true}, "Name in reports.");
  v.required("continuous_C", &S::continuous, temperature(Range{-50, 500}), "Its continuous temperature rating.");
  v.required("peak_C", &S::peak, temperature(Range{-50, 500}), "Air it takes for short times.");
  v.required("oil_proof", &S::oil_proof, FlagCodec(), "Whether it takes the oil mist of crankcase gas.");
  v.required("silicone", &S::silicone, FlagCodec(), "Whether its outside is silicone, whatever its liner is.");
  v.required("source", &S::source, TextCodec{true}, "Where the figures come from.");
}

template <class V>
void describe(V& v, Of<catalog::Workshop>) {
  using S = catalog::Workshop;
  v.required("tools", &S::tools, list_of(object<catalog::Tool>(), 0, 1000), "Hand tools.");
  v.required("clamps", &S::clamps, list_of(object<catalog::ClampType>(), 0, 1000), "Hose clamps.");
  v.optional("materials", &S::materials, list_of(object<catalog::HoseMaterial>(), 0, 1000), "Materials of hoses.");
}

namespace {

template <class Row>
void complain_of_doubles(const std::vector<Row>& rows, const char* list, const Node& root, Problems& problems) {
  std::set<std::string> seen;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].id.empty() || seen.insert(rows[i].id.value).second) continue;
    const std::string pointer = std::string(list) + "/" + std::to_string(i) + "/id";
    problems.add(pointer, line_of(root, pointer), "\"" + rows[i].id.value + "\" is there twice");
  }
}

/// What stands beyond a bend lies on it: the handle, and the hand on what rolls.
template <class Complain>
void complain_of_bend(const catalog::Tool& tool, const std::string& at, const Complain& complain) {
  if (!tool.bend) return;
  constexpr double kRounding_mm = 1e-6;
  const double end = tool.bend->from_mm + tool.bend->over_mm, whole = catalog::length_mm(tool);
  if (end > whole + kRounding_mm) {
    complain(at + "/bend", "reaches beyond the tool's end; from_mm and over_mm are along its lengths");
  } else if (tool.hand && end > whole - tool.hand->length_mm + kRounding_mm) {
    complain(at + "/bend", "reaches into the hand at the tool's end; end it before");
  } else if (tool.swing && end > tool.swing->height_mm + kRounding_mm) {
    complain(at + "/bend", "lies beyond the handle that swings; end it before");
  }
  if (tool.approach == catalog::Approach::radial) {
    complain(at + "/approach", "is radial, and a tool that bends is pushed on along the screw; write axial");
  }
}

/// A tool is for hexagons, with lengths on the screw's axis, or for tangs.
template <class Complain>
void complain_of_pliers(const catalog::Tool& tool, const std::string& at, const Complain& complain) {
  if (!tool.pliers) {
    if (tool.hexagons_mm.empty()) complain(at + "/hexagons_mm", "is missing; give the sizes across flats of the tool");
    if (tool.lengths.empty()) complain(at + "/lengths", "is missing; give its lengths from the screw's head outward");
    return;
  }
  const auto none = [&](bool there, const char* key) {
    if (there) complain(at + "/" + key, "is of tools for screws, and these are pliers; leave it out");
  };
  none(!tool.hexagons_mm.empty(), "hexagons_mm");
  none(!tool.lengths.empty(), "lengths");
  none(tool.bend.has_value(), "bend");
  none(tool.torque, "torque");
  none(tool.approach == catalog::Approach::radial, "approach");
  if (tool.pliers->hand.along_mm > tool.pliers->handle_length_mm) {
    complain(at + "/pliers/hand/along_mm", "is longer than the handles");
  }
}

/// A clamp has a screw or is a spring band.
template <class Complain>
void complain_of_hexagon(const catalog::ClampType& clamp, const std::string& at, const Complain& complain) {
  if (clamp.has_screw() && clamp.hexagon_mm <= 0) {
    complain(at + "/hexagon_mm", "is missing; give the size across flats of the screw, or the kind \"spring band\"");
  } else if (!clamp.has_screw() && clamp.hexagon_mm > 0) {
    complain(at + "/hexagon_mm", "is of a screw, and a spring band has none; leave it out");
  }
}

void complain_of_sizes(const catalog::Workshop& shop, const Node& root, Problems& problems) {
  const auto complain = [&](const std::string& pointer, std::string message) {
    if (!problems.touches(pointer)) problems.add(pointer, line_of(root, pointer), std::move(message));
  };
  for (std::size_t i = 0; i < shop.tools.size(); ++i) {
    const catalog::Tool& tool = shop.tools[i];
    const std::string at = "/tools/" + std::to_string(i);
    complain_of_pliers(tool, at, complain);
    for (std::size_t k = 0; k < tool.lengths.size(); ++k) {
      const catalog::ToolLength& l = tool.lengths[k];
      if (l.diameter_mm + l.diameter_per_hexagon <= 0) {
        complain(at + "/lengths/" + std::to_string(k), "has no diameter; give diameter_mm or diameter_per_hexagon");
      }
    }
    if (tool.swing && tool.swing->hand.along_mm > tool.swing->length_mm) {
      complain(at + "/swing/hand/along_mm", "is longer than the handle");
    }
    complain_of_bend(tool, at, complain);
  }
  for (std::size_t i = 0; i < shop.clamps.size(); ++i) {
    complain_of_hexagon(shop.clamps[i], "/clamps/" + std::to_string(i), complain);
  }
  for (std::size_t i = 0; i < shop.materials.size(); ++i) {
    if (shop.materials[i].peak < shop.materials[i].continuous) {
      complain("/materials/" + std::to_string(i) + "/peak_C", "is below continuous_C");
    }
  }
}

}  // namespace

ResultAll<catalog::Workshop> read_workshop(const std::string& text, const std::string& file_name) {
  const auto root = parse_json(text, file_name);
  if (!root) return tl::unexpected(root.error());
  Problems problems(file_name);
  const At top{&problems, ""};
  catalog::Workshop shop;
  if (root->kind != Node::Kind::object) {
    top.wrong(*root, "is " + shown(*root) + "; expected an object { ... }");
  } else if (read_version(*root, kToolsKey, kToolsVersion, top)) {
    KeyCheck keys(*root, top);
    keys.take(kToolsKey);
    ObjectReader<catalog::Workshop> reader(keys, shop);
    describe(reader, Of<catalog::Workshop>());
    keys.finish();
    complain_of_doubles(shop.tools, "/tools", *root, problems);
    complain_of_doubles(shop.clamps, "/clamps", *root, problems);
    complain_of_doubles(shop.materials, "/materials", *root, problems);
    complain_of_sizes(shop, *root, problems);
  }
  if (problems.any()) return tl::unexpected(problems.take());
  return shop;
}

Error about_tools(Error error) {
  if (error.code == ErrorCode::file_missing) {
    error.message +=
        "; write \"tools\": \"default\" to use the tools and clamps that are built in, or put your own table there "
        "(docs/tools-file.md)";
  }
  return error;
}

std::string write_workshop(const catalog::Workshop& workshop) {
  Node root = Node::object();
  root.put(kToolsKey, Node::of(kToolsVersion));
  ObjectWriter<catalog::Workshop> writer(root, workshop);
  describe(writer, Of<catalog::Workshop>());
  return to_json(root);
}

}  // namespace baywright::job
