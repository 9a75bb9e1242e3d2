#pragma once

#include "job/job_fields.hpp"

namespace baywright::job {

// The fields of job.json's "routing", described as in job_fields.hpp, and the job with all its keys.

struct RegionNames {
  static constexpr const char* kDoc = "Form of the region.";
  static const std::vector<std::string>& of();
};

template <class V>
void describe(V& v, Of<Slide>) {
  using S = Slide;
  v.required("along", &S::along, DirectionCodec(), "Direction in the vehicle frame; any length but zero.");
  v.optional("from_mm", &S::from_mm, length(within_bay()), "Least travel, 0 or below; 0 is the place as given.");
  v.optional("to_mm", &S::to_mm, length(within_bay()), "Greatest travel, 0 or above.");
}

template <class V>
void describe(V& v, Of<Turn>) {
  using S = Turn;
  v.required("axis", &S::axis, object<bay::Axis>(), "Line it turns about.");
  v.optional("from_deg", &S::from, angle(any_turn()), "Least angle, 0 or below; 0 is the place as given.");
  v.optional("to_deg", &S::to, angle(any_turn()), "Greatest angle, 0 or above, right-handed.");
}

template <class V>
void describe(V& v, Of<OtherPlace>) {
  using S = OtherPlace;
  v.required("name", &S::name, TextCodec{true}, "Name printed with routes: \"behind the lamp\".");
  v.optional("about_mm", &S::about_mm, PointCodec(),
             "Point the turns are about, vehicle frame; needed where it turns.");
  v.optional("roll_deg", &S::roll, angle(any_turn()), "First turn from the place as given: about x, right-handed.");
  v.optional("pitch_deg", &S::pitch, angle(any_turn()), "Second turn: about y.");
  v.optional("yaw_deg", &S::yaw, angle(any_turn()), "Third turn: about z.");
  v.optional("shift_mm", &S::shift_mm, PointCodec(), "Last: shift [x, y, z] from the place as given.");
}

template <class V>
void describe(V& v, Of<MayMove>) {
  using S = MayMove;
  v.optional("name", &S::name, TextCodec(), "What it is: \"filter housing\"; without it the ids of what moves.");
  v.optional("parts", &S::parts, list_of(IdCodec<bay::PartTag>(), 0, 1000),
             "Parts that move as one, each with all its ports.");
  v.optional("ports", &S::ports, list_of(IdCodec<bay::PortTag>(), 0, 1000),
             "Ports that belong to no part and move with them.");
  v.optional("slides", &S::slides, list_of(object<Slide>(), 0, 3), "Directions it may be moved along, at once.");
  v.optional("turn", &S::turn, object<Turn>(), "Line it may be turned about, before it is moved.");
  v.optional("places", &S::places, list_of(object<OtherPlace>(), 0, 20),
             "Other places it may be put at; from there it neither slides nor turns.");
}

template <class V>
void describe(V& v, Of<BoxRegion>) {
  using S = BoxRegion;
  v.required("from_mm", &S::from_mm, PointCodec(), "Corner with the least coordinates, vehicle frame.");
  v.required("to_mm", &S::to_mm, PointCodec(), "Corner with the greatest coordinates.");
}

template <class V>
void describe(V& v, Of<SphereRegion>) {
  using S = SphereRegion;
  v.required("center_mm", &S::center_mm, PointCodec(), "Its middle, vehicle frame.");
  v.required("radius_mm", &S::radius_mm, length(size()), "Its radius.");
}

template <class V>
void describe(V& v, Of<HullRegion>) {
  using S = HullRegion;
  v.required("points_mm", &S::points_mm, list_of(PointCodec(), 4, 60),
             "Corners in any order, vehicle frame; the region is all that lies between them.");
}

template <class V>
void describe(V& v, Of<Region>) {
  v.required("name", &Region::name, TextCodec{true}, "Name printed with findings and routes: \"battery tray\".");
  v.required("shape", &Region::shape, ChoiceCodec<RegionShape, RegionNames>(), "What it takes up.");
}

template <class V>
void describe(V& v, Of<LockedPoints>) {
  using S = LockedPoints;
  v.required("duct", &S::duct, IdCodec<duct::DuctTag>(), "Duct.");
  v.required("points", &S::points, list_of(IdCodec<duct::PointTag>(), 1, 100),
             "Points of its route between the ends, one behind the other.");
}

template <class V>
void describe(V& v, Of<RoutingWishes>) {
  using S = RoutingWishes;
  v.optional("stock", &S::stock, TextCodec(),
             "Stock file to search with where --stock names none; path relative to the job folder.");
  v.optional("may_move", &S::may_move, list_of(object<MayMove>(), 0, 10), "What a search may put elsewhere.");
  v.optional("keep_out", &S::keep_out, list_of(object<Region>(), 0, 100), "Regions no duct may come into.");
  v.optional("prefer", &S::prefer, list_of(object<Region>(), 0, 100), "Regions a duct had better run through.");
  v.optional("locked", &S::locked, list_of(object<LockedPoints>(), 0, 100), "Points of routes that stay.");
}

template <class V>
void describe(V& v, Of<Job>) {
  v.optional("name", &Job::name, TextCodec(), "Title of the job.");
  v.optional("note", &Job::note, TextCodec{false, false}, "Free text, printed in the report.");
  v.optional("units", &Job::units, object<DisplayUnits>(), "Units in which results are shown.");
  v.optional("attitudes", &Job::attitudes, list_of(object<bay::Attitude>(), 0, 100),
             "How the vehicle may stand, besides level.");
  v.optional("ground", &Job::ground, object<bay::Ground>(), "How the vehicle stands over ground and water.");
  v.optional("bodies", &Job::bodies, list_of(object<BodySpec>(), 0, 1000), "Groups that move as one.");
  v.optional("motions_combined", &Job::motions_combined, FlagCodec(),
             "All bodies may move at the same time (full product) instead of one at a time.");
  v.optional("parts", &Job::parts, list_of(object<PartSpec>(), 0, 100000), "What is in the bay.");
  v.optional("openings", &Job::openings, list_of(object<OpeningSpec>(), 0, 1000),
             "Openings hands and tools come through.");
  v.optional("ports", &Job::ports, list_of(object<PortSpec>(), 0, 1000), "Open ends ducts connect.");
  v.optional("ducts", &Job::ducts, list_of(object<duct::DuctSpec>(), 0, 1000), "The ducts.");
  v.optional("flow", &Job::flow, object<flow::FlowInputs>(), "What is known about the air.");
  v.optional("answers", &Job::answers, list_of(object<checks::Answer>(), 0, 1000),
             "Answers to what only a person can see: checks that ask.");
  v.optional("service_points", &Job::service_points, list_of(object<checks::ServicePoint>(), 0, 1000),
             "Where hands go on a warm vehicle.");
  v.optional("filter_elements", &Job::filter_elements, list_of(object<checks::FilterElement>(), 0, 100),
             "Elements of the air cleaners, and how they come out.");
  v.optional("sheet", &Job::sheet, TextCodec(), "Requirement sheet: a path, or \"default\".");
  v.optional("tools", &Job::tools, TextCodec(), "Table of tools and clamps: a path, or \"default\".");
  v.optional("routing", &Job::routing, object<RoutingWishes>(),
             "What a search of routes may move, and what it is asked.");
  v.optional("clearance_width_mm", &Job::clearance_width_mm, length(Range{0.001, 10}),
             "How closely clearance is pinned down.");
  v.optional("clearance_range_mm", &Job::clearance_range_mm, length(Range{1, 10000}),
             "Beyond this distance \"farther\" is answer enough.");
  v.optional("outside_files", &Job::outside_files, list_of(TextCodec{true}, 0, 10000),
             "Paths outside the job folder this job asks for; they are read only when the user allows their folder "
             "(--allow-dir).");
}

}  // namespace baywright::job
