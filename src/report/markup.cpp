#include "report/markup.hpp"

#include <charconv>
#include <cmath>

namespace baywright::report {

Markup operator""_h(const char* literal, std::size_t size) { return Markup(std::string(literal, size)); }

namespace {

Markup literal(const char* words) { return operator""_h(words, std::char_traits<char>::length(words)); }

}  // namespace

Markup text(std::string_view plain) {
  std::string out;
  out.reserve(plain.size() + 16);
  for (const char c : plain) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      case '\n':
      case '\t':
        out += c;
        break;
      default:
        out += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? std::string("\xEF\xBF\xBD") : std::string(1, c);
    }
  }
  return Markup(std::move(out));
}

Markup text(int number) { return text(std::to_string(number)); }

Markup coordinate(double value) {
  if (std::abs(value) < 0.005) value = 0;
  char digits[400];
  const auto end = std::to_chars(digits, digits + sizeof digits, value, std::chars_format::fixed, 2);
  std::string out(digits, end.ptr);
  while (out.back() == '0') out.pop_back();
  if (out.back() == '.') out.pop_back();
  return text(out);
}

Markup drawn_line(const char* css_class, double x1, double y1, double x2, double y2) {
  return "<path class=\""_h + text(css_class) + "\" d=\"M"_h + coordinate(x1) + " "_h + coordinate(y1) + "L"_h +
         coordinate(x2) + " "_h + coordinate(y2) + "\"/>"_h;
}

Markup drawn_words(const char* css_class, double x, double y, const std::string& what) {
  return "<text class=\""_h + text(css_class) + "\" x=\""_h + coordinate(x) + "\" y=\""_h + coordinate(y) + "\">"_h +
         text(what) + "</text>"_h;
}

Markup tag(const char* name, const Markup& inner) {
  return "<"_h + literal(name) + ">"_h + inner + "</"_h + literal(name) + ">"_h;
}

Markup tag(const char* name, const char* css_class, const Markup& inner) {
  return "<"_h + literal(name) + " class=\""_h + literal(css_class) + "\">"_h + inner + "</"_h + literal(name) + ">"_h;
}

Markup cell(const Markup& inner) { return tag("td", inner); }
Markup number_cell(const Markup& inner) { return tag("td", "n", inner); }

Markup bullets(const std::vector<std::string>& lines) {
  if (lines.empty()) return {};
  Markup items;
  for (const std::string& line : lines) items += tag("li", text(line));
  return tag("ul", items);
}

Markup table(const char* css_class, const std::vector<std::string>& columns, const Markup& body_rows) {
  Markup head;
  for (const std::string& column : columns) {
    const bool number = column.starts_with('>');
    head += (number ? "<th scope=\"col\" class=\"n\">"_h : "<th scope=\"col\">"_h) +
            text(number ? std::string_view(column).substr(1) : std::string_view(column)) + "</th>"_h;
  }
  return "<table class=\""_h + literal(css_class) + "\"><thead><tr>"_h + head + "</tr></thead>\n<tbody>\n"_h +
         body_rows + "</tbody></table>\n"_h;
}

}  // namespace baywright::report
