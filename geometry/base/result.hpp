#pragma once

#include <string>
#include <vector>

#include <tl/expected.hpp>

namespace baywright {

/// What kind of outside trouble an error is. The list is closed; add a kind only when a caller must act differently.
enum class ErrorCode {
  bad_usage,      ///< wrong option, missing argument
  file_missing,   ///< file or folder not found, or not readable
  file_damaged,   ///< file cut, counts do not match, syntax wrong
  not_supported,  ///< a format or feature that is known but not read
  no_shape,       ///< file was read and holds nothing usable
  bad_value,      ///< value of wrong type, out of range, inconsistent
  kernel_failed,  ///< the solid-modelling kernel could not do it
  not_written,    ///< output could not be written
  cancelled,      ///< the user stopped it
};

/// One error a user can act on: `where` is a place to go to ("job.json: /ports/2/bore_mm", "bay.stl: line 12"),
/// `message` says what is wrong and what to do, in one line.
struct Error {
  ErrorCode code = ErrorCode::bad_value;
  std::string where;
  std::string message;
  bool operator==(const Error&) const = default;
};

/// "where: message", the one line that is printed.
std::string to_line(const Error& error);

/// A value or one Error. Discarding it is a compile warning.
template <class T>
class [[nodiscard]] Result : public tl::expected<T, Error> {
 public:
  using tl::expected<T, Error>::expected;
};

/// A value or all errors that were found (readers of a user's file report everything at once).
template <class T>
class [[nodiscard]] ResultAll : public tl::expected<T, std::vector<Error>> {
 public:
  using tl::expected<T, std::vector<Error>>::expected;
};

inline tl::unexpected<Error> fail(ErrorCode code, std::string where, std::string message) {
  return tl::unexpected<Error>(Error{code, std::move(where), std::move(message)});
}

}  // namespace baywright
