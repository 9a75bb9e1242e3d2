#include "geometry/base/result.hpp"

namespace baywright {

std::string to_line(const Error& error) {
  return error.where.empty() ? error.message : error.where + ": " + error.message;
}

}  // namespace baywright
