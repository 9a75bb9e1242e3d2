#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "geometry/vec.hpp"

namespace baywright::report {

// Keys keep the order they are written in; numbers are the shortest text that reads back to the same double.
using Json = nlohmann::ordered_json;

/// An object under construction. A number that is not finite has no JSON form: it is written as null, and the list
/// `missing_numbers` of the same object says why.
class Object {
 public:
  void set(const std::string& key, Json value) { json_[key] = std::move(value); }
  void text(const std::string& key, std::string_view value) { json_[key] = std::string(value); }
  void number(const std::string& key, double value) { json_[key] = checked(key, value); }
  void number(const std::string& key, const std::optional<double>& value) {
    json_[key] = value ? checked(key, *value) : Json();
  }
  void point(const std::string& key, const Vec3& p) {
    json_[key] = Json::array({checked(key, p.x()), checked(key, p.y()), checked(key, p.z())});
  }
  void point(const std::string& key, const std::optional<Vec3>& p) {
    if (p) {
      point(key, *p);
    } else {
      json_[key] = nullptr;
    }
  }
  Json done() {
    if (!gaps_.empty()) json_["missing_numbers"] = std::move(gaps_);
    return std::move(json_);
  }

 private:
  Json checked(const std::string& key, double value) {
    if (std::isfinite(value)) return value == 0 ? 0.0 : value;  // no "-0.0"
    const char* reason = std::isnan(value) ? "not a number: it could not be computed"
                         : value > 0       ? "no upper end: nothing was found within the range that was looked at"
                                           : "no lower end: the measurement was stopped before a bound was proven";
    gaps_.push_back({{"key", key}, {"reason", reason}});
    return nullptr;
  }

  Json json_ = Json::object();
  Json gaps_ = Json::array();
};

template <class List, class Write>
Json array_of(const List& list, Write write) {
  Json out = Json::array();
  for (const auto& item : list) out.push_back(write(item));
  return out;
}

}  // namespace baywright::report
