#include "routing/settle.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Dense>

#include "geometry/base/expects.hpp"
#include "routing/angle_steps.hpp"

namespace baywright::routing {
namespace {

/// One margin, linear in the move: margin + gradient . dx.
struct Row {
  double margin_mm = 0;
  double target_mm = 0;
  Eigen::VectorXd gradient;
};

/// Change of a value of the course by each of its coordinates, by differences.
template <class Value>
std::vector<Eigen::VectorXd> gradients(const Course& course, const Freedom& freedom, const Value& values) {
  constexpr double kDifference_mm = 0.02;
  const int count = freedom.count();
  const std::vector<double> here = values(shape_of(course));
  std::vector<Eigen::VectorXd> out(here.size(), Eigen::VectorXd::Zero(count));
  for (int k = 0; k < count; ++k) {
    const Eigen::VectorXd dx = kDifference_mm * Eigen::VectorXd::Unit(count, k);
    const std::vector<double> there = values(shape_of(freedom.moved(course, dx)));
    for (std::size_t i = 0; i < here.size(); ++i) out[i][k] = (there[i] - here[i]) / kDifference_mm;
  }
  return out;
}

/// Half for lengths: a straight that lacks 2 mm is as bad as a clearance that lacks one.
constexpr double kStraightShare = 0.5;

/// Aimed at beyond the target, which steps of least squares would only come near to.
constexpr double kBeyond_mm = 0.2;

std::vector<double> straight_margins(const CourseShape& shape, const SettleOptions& options) {
  std::vector<double> out;
  for (std::size_t i = 0; i < shape.legs.size(); ++i) {
    const double least = i < options.least_straight_mm.size() ? options.least_straight_mm[i] : 0;
    out.push_back(kStraightShare * (shape.legs[i].spare_mm - least));
  }
  return out;
}

std::vector<Row> rows_of(const Course& course, const Freedom& freedom, const std::vector<Contact>& contacts,
                         const SettleOptions& options) {
  const auto values = [&](const CourseShape& shape) {
    std::vector<double> v;
    for (const Contact& c : contacts) v.push_back(-c.outward.dot(shape.point(c.element, c.share)));
    for (const double m : straight_margins(shape, options)) v.push_back(m);
    return v;
  };
  const auto slopes = gradients(course, freedom, values);
  std::vector<Row> rows;
  for (std::size_t i = 0; i < contacts.size(); ++i) {
    rows.push_back({contacts[i].margin_mm, options.target_mm + kBeyond_mm, slopes[i]});
  }
  const auto straights = straight_margins(shape_of(course), options);
  for (std::size_t i = 0; i < straights.size(); ++i) {
    rows.push_back({straights[i], 0.05, slopes[contacts.size() + i]});
  }
  return rows;
}

/// The least move that brings the rows to their targets, as far as one can: rows that the move would bring below join.
Eigen::VectorXd least_move(const std::vector<Row>& rows, int count, double damping) {
  constexpr double kLongestStep_mm = 15;
  constexpr int kPasses = 5;
  std::vector<char> active(rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) active[i] = rows[i].margin_mm < rows[i].target_mm;
  Eigen::VectorXd dx = Eigen::VectorXd::Zero(count);
  for (int pass = 0; pass < kPasses; ++pass) {
    Eigen::MatrixXd A = damping * Eigen::MatrixXd::Identity(count, count);
    Eigen::VectorXd b = Eigen::VectorXd::Zero(count);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (!active[i]) continue;
      A += rows[i].gradient * rows[i].gradient.transpose();
      b += (rows[i].target_mm - rows[i].margin_mm) * rows[i].gradient;
    }
    dx = A.ldlt().solve(b);
    const double longest = dx.cwiseAbs().maxCoeff();
    if (longest > kLongestStep_mm) dx *= kLongestStep_mm / longest;
    bool more = false;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (active[i] || rows[i].margin_mm + rows[i].gradient.dot(dx) >= rows[i].target_mm) continue;
      active[i] = true;
      more = true;
    }
    if (!more) break;
  }
  return dx;
}

double margin_of(const Course& course, const std::vector<Contact>& contacts, const SettleOptions& options) {
  double margin = least_margin(contacts, options.target_mm + options.window_mm);
  for (const double m : straight_margins(shape_of(course), options)) margin = std::min(margin, m < 0 ? m : margin);
  return margin;
}

/// As settle(); `angles`: the bends keep these, none: they are free.
Settled settle_with(const Course& start, const Freedom& freedom, const ContactsOf& contacts_of,
                    const SettleOptions& options, const std::optional<std::vector<double>>& angles,
                    const Progress& progress) {
  Course course = start;
  Settled best;
  double damping = 0.02;
  for (int step = 0; step <= options.steps && !progress.cancelled(); ++step) {
    std::vector<Contact> contacts = contacts_of(course);
    const double margin = margin_of(course, contacts, options);
    const bool better = step == 0 || margin > best.margin_mm;
    if (better) best = {course, margin, contacts};
    // Farther steps from a worse place help out of a corner, but not when it goes on getting worse.
    damping = better ? std::max(0.5 * damping, 0.01) : 2 * damping;
    if (best.margin_mm >= options.target_mm || freedom.count() == 0) break;
    auto rows = rows_of(course, freedom, contacts, options);
    Eigen::MatrixXd kept;
    if (angles) {
      kept = moves_that_keep_angles(course, freedom);
      for (Row& row : rows) row.gradient = kept * row.gradient;
    }
    Eigen::VectorXd dx = least_move(rows, freedom.count(), damping);
    if (angles) dx = kept * dx;
    if (dx.norm() < 1e-3) break;
    course = freedom.on_axes(freedom.moved(course, dx), 1);
    if (!angles) continue;
    const auto back = with_angles(course, freedom, *angles);
    if (!back) break;
    course = *back;
  }
  return best;
}

}  // namespace

Settled settle(const Course& start, const Freedom& freedom, const ContactsOf& contacts_of, const SettleOptions& options,
               const Progress& progress) {
  if (options.angle_step_rad <= 0) return settle_with(start, freedom, contacts_of, options, std::nullopt, progress);
  Settled best{start, kNoAngles_mm, {}};
  for (const auto& angles : angles_on_steps(shape_of(start).angles_rad(), options.angle_step_rad)) {
    if (progress.cancelled() || best.margin_mm >= options.target_mm) break;
    const auto course = with_angles(start, freedom, angles);
    if (!course) continue;
    Settled settled = settle_with(*course, freedom, contacts_of, options, angles, progress);
    if (settled.margin_mm > best.margin_mm) best = std::move(settled);
  }
  return best;
}

}  // namespace baywright::routing
