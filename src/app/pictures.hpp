#pragma once

#include "report/report.hpp"

namespace baywright::app {

/// The picture maker this program was built with.
report::PictureSource picture_source();

}  // namespace baywright::app
