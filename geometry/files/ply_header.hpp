#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/files/scan_formats.hpp"

namespace baywright {

/// Scalar types of PLY, under either of their two names ("float", "float32").
enum class PlyType { int8, uint8, int16, uint16, int32, uint32, float32, float64 };
std::size_t size_of(PlyType type);

struct PlyProperty {
  std::string name;
  PlyType type = PlyType::float32;
  std::optional<PlyType> list_count;  ///< set: a list whose length has this type
};

struct PlyElement {
  std::string name;
  std::size_t count = 0;
  std::vector<PlyProperty> properties;

  std::optional<std::size_t> find(std::initializer_list<std::string_view> names) const;
  /// Bytes of one row in a binary file; lists count as empty, so for elements with lists it is the least possible.
  std::size_t least_bytes() const;
  bool has_list() const;
};

enum class PlyFormat { ascii, little, big };

struct PlyHeader {
  PlyFormat format = PlyFormat::ascii;
  std::vector<PlyElement> elements;
  std::size_t body_at = 0;  ///< first byte after the header
  std::size_t lines = 0;
};

/// Fails: file_damaged with the line.
Result<PlyHeader> read_ply_header(std::string_view bytes, const ScanSource& source);

}  // namespace baywright
