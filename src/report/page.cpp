#include "report/page.hpp"

#include "report/wording.hpp"

namespace baywright::report {

int Page::number_of(const checks::Finding& finding) const {
  const auto& all = evaluation.findings;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (&all[i] == &finding) return static_cast<int>(i) + 1;
  }
  return 0;
}

const checks::Evaluation::DuctResult* Page::result_of(const duct::DuctId& duct) const {
  for (const auto& result : evaluation.ducts) {
    if (result.duct == duct) return &result;
  }
  return nullptr;
}

Markup verdict_key(checks::Verdict verdict) {
  switch (verdict) {
    case checks::Verdict::met:
      return "met"_h;
    case checks::Verdict::not_met:
      return "not_met"_h;
    case checks::Verdict::undecided:
      return "undecided"_h;
    case checks::Verdict::not_checked:
      return "not_checked"_h;
    case checks::Verdict::not_applicable:
      return "not_applicable"_h;
  }
  return "not_checked"_h;
}

namespace {

Markup symbol_of(checks::Verdict verdict) {
  switch (verdict) {
    case checks::Verdict::met:
      return "✓"_h;
    case checks::Verdict::not_met:
      return "✗"_h;
    case checks::Verdict::undecided:
      return "?"_h;
    case checks::Verdict::not_checked:
      return "–"_h;
    case checks::Verdict::not_applicable:
      return "·"_h;
  }
  return "–"_h;
}

}  // namespace

Markup verdict_mark(checks::Verdict verdict) {
  return "<span class=\"verdict "_h + verdict_key(verdict) + "\"><span class=\"sym\" aria-hidden=\"true\">"_h +
         symbol_of(verdict) + "</span>"_h + text(checks::name(verdict)) + "</span>"_h;
}

Markup section_heading(int number, const char* anchor, const char* title) {
  return "<h2 id=\""_h + text(anchor) + "\"><span class=\"no\">"_h + text(number) + "</span>"_h + text(title) +
         "</h2>\n"_h;
}

Markup origin_text(const checks::Origin& origin) {
  const std::string kind(checks::name(origin.kind));
  // "common practice, no source" already says its kind.
  if (origin.text.empty()) return text(kind);
  if (origin.text.starts_with(kind)) return text(origin.text);
  return text(kind + ": " + origin.text);
}

}  // namespace baywright::report
