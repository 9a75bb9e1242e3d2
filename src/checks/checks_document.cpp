#include "checks/checks_document.hpp"

#include "checks/check.hpp"

namespace baywright::checks {
namespace {

std::string code_list(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    if (!text.empty()) text += ", ";
    text += '`';
    text += word;
    text += '`';
  }
  return text;
}

std::string services_of(const CheckDef& check) {
  if (check.services.empty()) return "the job as a whole";
  if (check.services.size() == 5) return "all ducts";
  std::string text;
  for (const duct::Service service : check.services) {
    if (!text.empty()) text += ", ";
    text += duct::name(service);
  }
  return text;
}

std::string unit_word(Unit unit) { return unit == Unit::none ? "yes/no (1/0)" : std::string(file_name(unit)); }

std::string limits_of(const CheckDef& check) {
  const std::string sense(name(check.comparison));
  if (check.limits == LimitPlace::by_class) {
    std::vector<std::string> beside;
    for (const FurtherLimit& f : check.further_limits) beside.push_back(f.id);
    return sense + ", by class of part: the sheet's `clearance` rows" +
           (beside.empty() ? "" : "; and " + code_list(beside));
  }
  std::vector<std::string> ids = {check.id};
  std::string others;
  for (const FurtherLimit& f : check.further_limits) {
    if (!f.unit && !f.comparison) {
      ids.push_back(f.id);
      continue;
    }
    others += "; " + std::string(name(f.comparison.value_or(check.comparison))) + ": " + code_list({f.id});
    if (f.unit) others += " (" + unit_word(*f.unit) + ")";
  }
  return sense + ": the sheet's " + code_list(ids) + others;
}

void add_row(std::string& text, const std::string& key, const std::string& value) {
  text += "| ";
  text += key;
  text += " | ";
  text += value;
  text += " |\n";
}

}  // namespace

std::string check_sections() {
  std::string text;
  for (const CheckDef& check : registry()) {
    text += "### " + check.id + ": " + check.title + "\n\n";
    text += check.question + "\n\n" + definition_text(check) + "\n\n";
    text += "| | |\n|---|---|\n";
    add_row(text, "measured in", unit_word(check.unit));
    add_row(text, "limit", limits_of(check));
    add_row(text, "weight", std::string(name(check.severity)));
    add_row(text, "concerns", services_of(check));
    add_row(text, "needs", code_list(check.inputs));
    if (!check.hint.empty()) add_row(text, "what helps", check.hint);
    text += '\n';
  }
  return text;
}

}  // namespace baywright::checks
