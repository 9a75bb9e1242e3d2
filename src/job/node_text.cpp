#include <charconv>
#include <cmath>

#include "geometry/base/expects.hpp"
#include "job/node.hpp"

namespace baywright::job {
namespace {

constexpr std::size_t kWidth = 110;

void add_text(std::string& out, std::string_view text) {
  static constexpr char kHex[] = "0123456789abcdef";
  out += '"';
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (c == '\n') {
      out += "\\n";
    } else if (c == '\t') {
      out += "\\t";
    } else if (byte < 0x20) {
      out += "\\u00";
      out += kHex[byte >> 4];
      out += kHex[byte & 15];
    } else {
      out += c;
    }
  }
  out += '"';
}

void add_number(std::string& out, double number) {
  EXPECTS(std::isfinite(number));
  char buffer[32];
  const auto end = std::to_chars(buffer, buffer + sizeof buffer, number == 0 ? 0.0 : number).ptr;
  out.append(buffer, end);
}

/// One line, or nothing when longer than `room`.
bool add_compact(std::string& out, const Node& node, std::size_t room) {
  const std::size_t start = out.size();
  switch (node.kind) {
    case Node::Kind::null:
      out += "null";
      break;
    case Node::Kind::boolean:
      out += node.truth ? "true" : "false";
      break;
    case Node::Kind::number:
      add_number(out, node.number);
      break;
    case Node::Kind::text:
      add_text(out, node.text);
      break;
    case Node::Kind::array:
      out += '[';
      for (std::size_t i = 0; i < node.items.size(); ++i) {
        if (i > 0) out += ", ";
        if (out.size() - start > room || !add_compact(out, node.items[i], room)) return false;
      }
      out += ']';
      break;
    case Node::Kind::object:
      out += node.members.empty() ? "{" : "{ ";
      for (std::size_t i = 0; i < node.members.size(); ++i) {
        if (i > 0) out += ", ";
        add_text(out, node.members[i].key);
        out += ": ";
        if (out.size() - start > room || !add_compact(out, node.members[i].value, room)) return false;
      }
      out += node.members.empty() ? "}" : " }";
      break;
  }
  return out.size() - start <= room;
}

void add(std::string& out, const Node& node, std::size_t indent, std::size_t column) {
  const bool holds_others = !node.items.empty() || !node.members.empty();
  const std::size_t start = out.size();
  const std::size_t room = kWidth > column ? kWidth - column : 0;
  if (!holds_others) {
    add_compact(out, node, static_cast<std::size_t>(-1));
    return;
  }
  if (indent > 0 && add_compact(out, node, room)) return;
  out.resize(start);
  const std::string pad(indent + 2, ' ');
  const bool is_array = node.kind == Node::Kind::array;
  const std::size_t count = is_array ? node.items.size() : node.members.size();
  out += is_array ? "[\n" : "{\n";
  for (std::size_t i = 0; i < count; ++i) {
    out += pad;
    const std::size_t line_start = out.size() - pad.size();
    if (!is_array) {
      add_text(out, node.members[i].key);
      out += ": ";
    }
    add(out, is_array ? node.items[i] : node.members[i].value, indent + 2, out.size() - line_start + 1);
    out += i + 1 < count ? ",\n" : "\n";
  }
  out += std::string(indent, ' ');
  out += is_array ? ']' : '}';
}

}  // namespace

std::string to_json(const Node& node) {
  std::string out;
  add(out, node, 0, 0);
  out += '\n';
  return out;
}

}  // namespace baywright::job
