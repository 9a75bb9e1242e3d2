#pragma once

#include <string_view>

#include <QString>

namespace baywright::viewer {

/// Text of the program (UTF-8) as the window's texts are.
inline QString words(std::string_view text) { return QString::fromUtf8(text.data(), static_cast<int>(text.size())); }

}  // namespace baywright::viewer
