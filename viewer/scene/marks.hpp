#pragma once

#include <functional>
#include <string>
#include <vector>

#include "checks/finding.hpp"
#include "viewer/scene/finding_pose.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/posed.hpp"
#include "viewer/scene/sight.hpp"
#include "viewer/scene/views.hpp"

namespace baywright::viewer {

/// "5.3 mm (limit 20)", "not assessed: ...": value and limit as shown in pictures, in the job's units.
std::string value_text(const checks::Finding& finding, const DisplayUnits& units);
/// The limit alone, "at least 20 mm"; "" without one.
std::string limit_text(const checks::Finding& finding, const DisplayUnits& units);

// Each draws onto an overlay that has been cleared; the caller commits.

/// Arrows named front, left, up, as the camera sees them; axes along the line of sight are left out.
void draw_axes(Overlay& overlay, const Vec3& right, const Vec3& up, const Pixel& center, double length_px);
/// Bar of a round length with its label, bottom right. `half_height_mm` of the parallel projection.
void draw_scale_bar(Overlay& overlay, double half_height_mm, const DisplayUnits& units, double bottom_px);
/// Two lines of text along the bottom edge, shortened where they do not fit.
void draw_caption(Overlay& overlay, const std::string& first, const std::string& second);
/// Stations along a duct, every 100 mm a dot and every 200 mm its number (5 and 10 inch in an inch job), where the duct
/// is hidden neither by itself nor by a part that `hides`; numbers that would fall on one another or on `keep_off` are
/// left out.
void draw_stations(Overlay& overlay, const job::Installation& installation, int duct, const Sight& sight,
                   const Vec3& toward, const std::function<bool(int)>& hides, const std::vector<Box2>& keep_off = {});
/// A single station, for pointing. Its label lies within `page`.
void draw_station_mark(Overlay& overlay, const job::Installation& installation, int duct, double station_mm,
                       const PosedState& state, const Box2& page);
/// Witness dimension (or a pointer to the place), its value, verdict and the names of the two things. Labels lie within
/// `page`, off the given boxes and off each other. In a pose that is not the finding's own the value is the one there,
/// and the finding's own stands below it.
void draw_finding(Overlay& overlay, const job::Installation& installation, const checks::Finding& finding,
                  const PosedFinding& posed, const Box2& page, const std::vector<Box2>& keep_off);
/// Frame around a small picture within the picture, and a ring where `p` lies in it.
void draw_inset(Overlay& overlay, const Box2& area, const Shot& shot, const Vec3& p);

inline constexpr double kCaptionHeight_px = 46;

}  // namespace baywright::viewer
