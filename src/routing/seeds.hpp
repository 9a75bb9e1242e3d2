#pragma once

#include <random>
#include <vector>

#include "routing/room.hpp"

namespace baywright::routing {

/// A course worth settling, and how it ranks before anything is measured.
struct Seed {
  Course course;
  double cost_mm = 0;
};

/// Length of straight tube that loses about as much as a course: a bend of 90 degrees at 1.5 diameters loses K 0.25,
/// friction 0.02 for each diameter of length (from memory), so a radian counts as 8 diameters. For ordering only.
double equivalent_length_mm(const CourseShape& shape, double diameter_mm);
/// The share of it that a bend's turning has, its arc's length left out.
double equivalent_of_turning_mm(double turning_rad, double diameter_mm);

struct SeedOptions {
  double radius_mm = 0, diameter_mm = 0;
  double least_straight_mm = 0, last_straight_mm = 0;  ///< between two bends; behind the last one
  double most_turning_rad = 0;                         ///< none: 0
  double accept_mm = -8;                               ///< rough margin from which settling may help
  std::size_t most = 24;
};

/// Courses of two bends: both points on their axes, on a grid of both; the cheapest that have room.
std::vector<Seed> two_bend_seeds(Room& room, const SeedOptions& options);
/// Courses of three bends whose middle point is scattered over the box of the ports; the cheapest that have room.
std::vector<Seed> three_bend_seeds(Room& room, const SeedOptions& options, std::mt19937& random, int tries);

}  // namespace baywright::routing
