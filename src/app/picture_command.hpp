#pragma once

#include <string>

#include "job/assemble.hpp"

namespace baywright::app {

struct PictureOptions {
  std::string job;
  std::string out;
  std::string view = "oblique";
  int finding = 0;  ///< close-up of the finding with this number in the report; 0: none
  int width_px = 1200;
  int height_px = 800;
  job::ReadOptions read;
};

/// Writes one picture as the report would show it. Returns the exit code.
int run_picture(const PictureOptions& options);

}  // namespace baywright::app
