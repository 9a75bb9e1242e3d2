#include "report/palette.hpp"

namespace baywright::report {

const Palette& light_palette() {
  static const Palette kLight = {.page = "#ffffff",
                                 .panel = "#f3f5f7",
                                 .ink = "#17202b",
                                 .quiet = "#4d5968",
                                 .rule = "#d3d9e0",
                                 .edge = "#6b7787",
                                 .met = "#00634b",
                                 .not_met = "#ad3f00",
                                 .undecided = "#0a5a97",
                                 .not_checked = "#535e6b",
                                 .bar = "#5b8fb9",
                                 .bar_total = "#2f4a63",
                                 .soft = "#a05a2c",
                                 .floating = "#7a6a1f"};
  return kLight;
}

const Palette& dark_palette() {
  static const Palette kDark = {.page = "#12171d",
                                .panel = "#1b222a",
                                .ink = "#e4e8ec",
                                .quiet = "#a9b3be",
                                .rule = "#333d48",
                                .edge = "#8391a1",
                                .met = "#56c9a2",
                                .not_met = "#ff9a5c",
                                .undecided = "#7fc1f2",
                                .not_checked = "#b4bdc7",
                                .bar = "#6fa3cc",
                                .bar_total = "#b9cfe2",
                                .soft = "#d9935f",
                                .floating = "#c9b458"};
  return kDark;
}

}  // namespace baywright::report
