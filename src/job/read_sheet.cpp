#include <array>
#include <cmath>
#include <map>

#include "checks/check.hpp"
#include "geometry/base/words.hpp"
#include "job/job_fields.hpp"
#include "job/job_file.hpp"
#include "job/unit_meant.hpp"

namespace baywright::job {

// A sheet as it is written; the values of the program follow from it.
struct LimitText {
  std::optional<double> at_most, at_least, below;
  std::string unit;
  checks::Origin::Kind origin = checks::Origin::Kind::common_practice;
  std::string text;
  bool operator==(const LimitText&) const = default;
};
struct NeedText {
  checks::ClearanceNeed need;
  checks::Origin::Kind origin = checks::Origin::Kind::common_practice;
  std::string text;
  bool operator==(const NeedText&) const = default;
};
struct RowText {
  bay::PartClass part_class = bay::PartClass::plain;
  NeedText tube;
  std::optional<NeedText> hose, clamp;
  bool operator==(const RowText&) const = default;
};
struct SheetText {
  std::string name, note;
  std::map<std::string, LimitText> limits;
  std::map<std::string, std::string> not_required;
  std::vector<RowText> clearance;
  std::optional<checks::Sheet::RestrictionMeaning> restriction;
};

namespace {

constexpr const char* kSheetKey = "baywright_sheet";
constexpr int kSheetVersion = 1;

struct SheetUnit {
  std::string_view word;
  Unit stored;
  Dimension dimension;
  std::string_view symbol;
  std::string_view shown = symbol;  ///< on screens
};
constexpr std::array kSheetUnits{
    SheetUnit{"count", Unit::count, Dimension::plain, ""},
    SheetUnit{"yes/no", Unit::none, Dimension::plain, ""},
    SheetUnit{"ratio", Unit::ratio, Dimension::plain, ""},
    SheetUnit{"mm", Unit::mm, Dimension::length, "mm"},
    SheetUnit{"cm", Unit::mm, Dimension::length, "cm"},
    SheetUnit{"m", Unit::mm, Dimension::length, "m"},
    SheetUnit{"in", Unit::mm, Dimension::length, "in"},
    SheetUnit{"ft", Unit::mm, Dimension::length, "ft"},
    SheetUnit{"deg", Unit::degree, Dimension::angle, "deg", ""},
    SheetUnit{"Pa", Unit::pascal, Dimension::pressure, "Pa"},
    SheetUnit{"kPa", Unit::pascal, Dimension::pressure, "kPa"},
    SheetUnit{"hPa", Unit::pascal, Dimension::pressure, "hPa"},
    SheetUnit{"mbar", Unit::pascal, Dimension::pressure, "mbar"},
    SheetUnit{"bar", Unit::pascal, Dimension::pressure, "bar"},
    SheetUnit{"psi", Unit::pascal, Dimension::pressure, "psi"},
    SheetUnit{"inH2O", Unit::pascal, Dimension::pressure, "inH2O"},
    SheetUnit{"inHg", Unit::pascal, Dimension::pressure, "inHg"},
    SheetUnit{"degC", Unit::kelvin, Dimension::temperature, "degC", "°C"},
    SheetUnit{"degF", Unit::kelvin, Dimension::temperature, "degF", "°F"},
    SheetUnit{"K", Unit::kelvin, Dimension::temperature, "K"},
    SheetUnit{"K difference", Unit::kelvin_difference, Dimension::temperature_change, "K"},
    SheetUnit{"degF difference", Unit::kelvin_difference, Dimension::temperature_change, "degF", "°F"},
    SheetUnit{"kg", Unit::kilogram, Dimension::mass, "kg"},
    SheetUnit{"lb", Unit::kilogram, Dimension::mass, "lb"},
    SheetUnit{"kg/s", Unit::kg_per_s, Dimension::mass_flow, "kg/s"},
    SheetUnit{"kg/h", Unit::kg_per_s, Dimension::mass_flow, "kg/h"},
    SheetUnit{"lb/min", Unit::kg_per_s, Dimension::mass_flow, "lb/min"},
    SheetUnit{"m/s", Unit::m_per_s, Dimension::speed, "m/s"},
    SheetUnit{"%", Unit::percent, Dimension::plain, ""},
    SheetUnit{"ml", Unit::millilitre, Dimension::plain, ""},
};

/// One of the words above.
struct UnitWordCodec {
  static std::vector<std::string> words() {
    std::vector<std::string> out;
    for (const SheetUnit& unit : kSheetUnits) out.emplace_back(unit.word);
    return out;
  }
  bool read(const Node& node, std::string& value, const At& at) const {
    const std::string meant = node.kind == Node::Kind::text ? unit_meant(node.text, words()) : "";
    if (!meant.empty() && meant != node.text) {
      at.wrong(node, "is " + shown(node) + "; did you mean " + in_quotes(meant) + "?");
      return false;
    }
    const auto index = read_word(node, words(), at);
    if (index) value = kSheetUnits[*index].word;
    return index.has_value();
  }
  std::string expected() const { return expected_word(words()); }
};

/// Value in the unit the program stores.
double stored(double amount, const SheetUnit& unit) {
  if (unit.dimension == Dimension::plain) return amount;
  const double in_file = in_file_unit(amount, unit.symbol, unit.dimension).value();
  if (unit.dimension == Dimension::pressure) return kilopascals(in_file).si();
  if (unit.dimension == Dimension::temperature) return celsius(in_file).si();
  return in_file;
}

WordCodec<checks::Origin::Kind> origin_word() {
  using Kind = checks::Origin::Kind;
  WordCodec<Kind> codec;
  for (const Kind kind :
       {Kind::supplier, Kind::standard, Kind::published, Kind::common_practice, Kind::from_memory, Kind::shop_rule}) {
    codec.table.emplace_back(kind, std::string(checks::name(kind)));
  }
  return codec;
}

/// An object whose keys are ids of checks.
struct LimitsCodec {
  bool read(const Node& node, std::map<std::string, LimitText>& value, const At& at) const {
    if (node.kind != Node::Kind::object) {
      at.wrong(node, "is " + shown(node) + "; expected an object with one entry per check");
      return false;
    }
    bool good = true;
    for (const Node::Member& member : node.members) {
      good = read_object(member.value, value[member.key], at.step(member.key)) && good;
    }
    return good;
  }
  std::string expected() const { return "an object with one entry per check"; }
};

/// An object whose keys are ids of checks and whose values are reasons.
struct ReasonsCodec {
  bool read(const Node& node, std::map<std::string, std::string>& value, const At& at) const {
    if (node.kind != Node::Kind::object) {
      at.wrong(node, "is " + shown(node) + "; expected " + expected());
      return false;
    }
    bool good = true;
    for (const Node::Member& member : node.members) {
      good = TextCodec{true}.read(member.value, value[member.key], at.step(member.key)) && good;
    }
    return good;
  }
  std::string expected() const { return "an object with one reason per check"; }
};

}  // namespace

template <class V>
void describe(V& v, Of<LimitText>) {
  using S = LimitText;
  v.optional("at_most", &S::at_most, number({}), "Greatest value allowed, in `unit`.");
  v.optional("at_least", &S::at_least, number({}), "Least value allowed, in `unit`.");
  v.optional("below", &S::below, number({}), "Value that must not be reached, in `unit`.");
  v.exactly_one_of({{"at_most"}, {"at_least"}, {"below"}});
  v.required("unit", &S::unit, UnitWordCodec(), "Unit of the limit.");
  v.required("origin", &S::origin, origin_word(), "Kind of source.");
  v.required("text", &S::text, TextCodec{true}, "Document and page, or \"common practice, no source\".");
}

template <class V>
void describe(V& v, Of<checks::Sheet::RestrictionMeaning>) {
  using S = checks::Sheet::RestrictionMeaning;
  v.required("meaning", &S::kind, pressure_meaning(), "Total pressure loss, or static pressure on a gauge.");
  v.required("station", &S::station, TextCodec{true}, "\"compressor face\" or the id of a restriction tap.");
}

/// The three distances and their origin, which sit among the keys of a row or in an object of their own.
void read_need(KeyCheck& keys, NeedText& value) {
  using Need = checks::ClearanceNeed;
  ObjectReader<Need> need(keys, value.need);
  need.required("same_body_mm", &Need::same_body_mm, length(size_or_none()), "");
  need.required("at_rest_mm", &Need::at_rest_mm, length(size_or_none()), "");
  need.required("over_motion_mm", &Need::over_motion_mm, length(size_or_none()), "");
  ObjectReader<NeedText> origin(keys, value);
  origin.required("origin", &NeedText::origin, origin_word(), "");
  origin.required("text", &NeedText::text, TextCodec{true}, "");
}

struct NeedCodec {
  bool read(const Node& node, NeedText& value, const At& at) const {
    if (node.kind != Node::Kind::object) {
      at.wrong(node, "is " + shown(node) + "; expected an object { ... }");
      return false;
    }
    KeyCheck keys(node, at);
    read_need(keys, value);
    keys.finish();
    return keys.good();
  }
  std::string expected() const { return "an object { ... }"; }
};

struct RowCodec {
  bool read(const Node& node, RowText& value, const At& at) const {
    if (node.kind != Node::Kind::object) {
      at.wrong(node, "is " + shown(node) + "; expected an object { ... }");
      return false;
    }
    KeyCheck keys(node, at);
    ObjectReader<RowText> row(keys, value);
    row.required("class", &RowText::part_class, part_class(), "");
    read_need(keys, value.tube);
    row.optional("hose", &RowText::hose, NeedCodec(), "");
    row.optional("clamp", &RowText::clamp, NeedCodec(), "");
    keys.finish();
    return keys.good();
  }
  std::string expected() const { return "an object { ... }"; }
};

template <class V>
void describe(V& v, Of<SheetText>) {
  using S = SheetText;
  v.required("name", &S::name, TextCodec{true}, "Title of the sheet.");
  v.optional("note", &S::note, TextCodec{false, false}, "Free text.");
  v.optional("limits", &S::limits, LimitsCodec(), "One entry per check.");
  v.optional("not_required", &S::not_required, ReasonsCodec(), "Checks that are not asked for, each with the reason.");
  v.optional("clearance", &S::clearance, list_of(RowCodec(), 0, 1000), "One row per class of part.");
  v.optional("restriction", &S::restriction, object<checks::Sheet::RestrictionMeaning>(), "What the limits mean.");
}

namespace {

checks::Limit limit_of(const LimitText& text) {
  checks::Limit limit;
  limit.comparison = text.at_most ? checks::Comparison::at_most
                     : text.below ? checks::Comparison::below
                                  : checks::Comparison::at_least;
  const double value = text.at_most ? *text.at_most : text.below ? *text.below : *text.at_least;
  for (const SheetUnit& unit : kSheetUnits) {
    if (unit.word != text.unit) continue;
    limit.unit = unit.stored;
    limit.value = stored(value, unit);
    if (!unit.shown.empty()) limit.stated = shown(Node::of(value)).append(" ").append(unit.shown);
  }
  limit.origin = {text.origin, text.text};
  return limit;
}

checks::ClearanceNeed need_of(const NeedText& text) {
  checks::ClearanceNeed need = text.need;
  need.origin = {text.origin, text.text};
  return need;
}

checks::ClearanceRow row_of(const RowText& text) {
  const checks::ClearanceNeed tube = need_of(text.tube);
  checks::ClearanceRow row{text.part_class, tube.same_body_mm, tube.at_rest_mm, tube.over_motion_mm, tube.origin};
  if (text.hose) row.hose = need_of(*text.hose);
  if (text.clamp) row.clamp = need_of(*text.clamp);
  return row;
}

/// Ids, units and senses against the registry of checks, one limit and one row at a time so that each complaint has its
/// place.
void check_against_registry(const checks::Sheet& sheet, const SheetText& read, const Node& root, Problems& problems) {
  const auto strip = [](const std::string& line) {
    const std::size_t colon = line.find(": ");
    return colon == std::string::npos ? line : line.substr(colon + 2);
  };
  if (const Node* limits = root.find("limits")) {
    for (const auto& [id, limit] : sheet.limits) {
      checks::Sheet one;
      one.limits[id] = limit;
      const Node* node = limits->find(id);
      const Node* unit = node ? node->find("unit") : nullptr;
      // The unit as the program stores it, and as the sheet has it.
      const std::string in_stored = "is in " + in_quotes(std::string(file_name(limit.unit)));
      for (const std::string& line : checks::problems_of(one)) {
        const std::string complaint = strip(line);
        if (unit && complaint.starts_with(in_stored)) {
          problems.add(pointer_step("/limits", id) + "/unit", unit->line,
                       "is " + in_quotes(read.limits.at(id).unit) + complaint.substr(in_stored.size()));
        } else {
          problems.add(pointer_step("/limits", id), node ? node->line : limits->line, complaint);
        }
      }
    }
  }
  if (const Node* waived = root.find("not_required")) {
    for (const auto& [id, reason] : sheet.not_required) {
      checks::Sheet one;
      one.not_required[id] = reason;
      if (const auto limit = sheet.limits.find(id); limit != sheet.limits.end()) one.limits.insert(*limit);
      const Node* node = waived->find(id);
      for (const std::string& line : checks::problems_of(one)) {
        if (!line.starts_with("not required")) continue;
        problems.add(pointer_step("/not_required", id), node ? node->line : waived->line, strip(line));
      }
    }
  }
  if (const Node* rows = root.find("clearance")) {
    checks::Sheet so_far;
    std::size_t known = 0;
    for (std::size_t i = 0; i < sheet.clearance.size(); ++i) {
      so_far.clearance.push_back(sheet.clearance[i]);
      const auto lines = checks::problems_of(so_far);
      for (std::size_t k = known; k < lines.size(); ++k) {
        problems.add("/clearance/" + std::to_string(i), rows->items[i].line, strip(lines[k]));
      }
      known = lines.size();
    }
  }
}

}  // namespace

Error about_sheet(Error error) {
  if (error.code == ErrorCode::file_missing) {
    error.message +=
        "; write \"sheet\": \"default\" to use the default requirements, or copy the sheet.json of a job that "
        "\"baywright new\" makes and change its limits";
  }
  return error;
}

ResultAll<checks::Sheet> read_sheet(const std::string& text, const std::string& file_name) {
  const auto root = parse_json(text, file_name);
  if (!root) return tl::unexpected(root.error());
  Problems problems(file_name);
  const At top{&problems, ""};
  checks::Sheet sheet;
  if (root->kind != Node::Kind::object) {
    top.wrong(*root, "is " + shown(*root) + "; expected an object { ... }");
  } else if (read_version(*root, kSheetKey, kSheetVersion, top)) {
    SheetText read;
    KeyCheck keys(*root, top);
    keys.take(kSheetKey);
    ObjectReader<SheetText> reader(keys, read);
    describe(reader, Of<SheetText>());
    keys.finish();
    sheet.name = read.name;
    sheet.note = read.note;
    sheet.restriction = read.restriction;
    for (const auto& [id, reason] : read.not_required) {
      if (!problems.touches(pointer_step("/not_required", id))) sheet.not_required[id] = reason;
    }
    for (const auto& [id, limit] : read.limits) {
      if (!problems.touches(pointer_step("/limits", id))) sheet.limits[id] = limit_of(limit);
    }
    for (const RowText& row : read.clearance) sheet.clearance.push_back(row_of(row));
    // Rows are compared with each other, so they wait until all of them could be read.
    if (problems.touches("/clearance")) sheet.clearance.clear();
    check_against_registry(sheet, read, *root, problems);
  }
  if (problems.any()) return tl::unexpected(problems.take());
  return sheet;
}

}  // namespace baywright::job
