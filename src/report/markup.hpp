#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace baywright::report {

/// HTML that is safe to send: made of literals of this program and of escaped text, nothing else. A plain string cannot
/// be added to it, so nothing from a job reaches the page unescaped.
class Markup {
 public:
  Markup() = default;
  const std::string& html() const { return html_; }
  bool empty() const { return html_.empty(); }
  Markup& operator+=(const Markup& more) {
    html_ += more.html_;
    return *this;
  }
  friend Markup operator+(Markup a, const Markup& b) {
    a += b;
    return a;
  }

 private:
  explicit Markup(std::string html) : html_(std::move(html)) {}
  friend Markup operator""_h(const char* literal, std::size_t size);
  friend Markup text(std::string_view plain);

  std::string html_;
};

/// A literal of this program.
Markup operator""_h(const char* literal, std::size_t size);
/// Escaped text: the five characters with a meaning in HTML become references, control characters U+FFFD. Good inside
/// elements and inside quoted attributes.
Markup text(std::string_view plain);
Markup text(int number);
/// Number for a drawing's attribute: two decimals at most, C locale.
Markup coordinate(double value);
/// A line and a text of a drawing.
Markup drawn_line(const char* css_class, double x1, double y1, double x2, double y2);
Markup drawn_words(const char* css_class, double x, double y, const std::string& what);

/// `<name>inner</name>` and the same with a class; `name` and `css_class` are literals.
Markup tag(const char* name, const Markup& inner);
Markup tag(const char* name, const char* css_class, const Markup& inner);
/// `<td>`, right-aligned for numbers.
Markup cell(const Markup& inner);
Markup number_cell(const Markup& inner);
/// Bulleted list, one item per line; nothing for an empty list.
Markup bullets(const std::vector<std::string>& lines);
/// Table with a head; a column title that starts with '>' is right-aligned (numbers).
Markup table(const char* css_class, const std::vector<std::string>& columns, const Markup& body_rows);

}  // namespace baywright::report
