#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>

namespace baywright::flow {

// Between the rows of printed tables: linear, clamped at their ends. EXPECTS knots that increase.

/// Place of x between the knots: lower index and fraction.
template <std::size_t N>
std::pair<std::size_t, double> table_place(const std::array<double, N>& knots, double x) {
  x = std::clamp(x, knots.front(), knots.back());
  std::size_t i = 0;
  while (i + 2 < N && x > knots[i + 1]) ++i;
  return {i, (x - knots[i]) / (knots[i + 1] - knots[i])};
}

template <std::size_t N>
double linear(const std::array<double, N>& knots, const std::array<double, N>& values, double x) {
  const auto [i, u] = table_place(knots, x);
  return (1 - u) * values[i] + u * values[i + 1];
}

template <std::size_t Rows, std::size_t Columns>
double bilinear(const std::array<double, Rows>& row_knots, const std::array<double, Columns>& column_knots,
                const std::array<std::array<double, Columns>, Rows>& table, double row, double column) {
  const auto [r, u] = table_place(row_knots, row);
  const auto [c, v] = table_place(column_knots, column);
  return (1 - u) * ((1 - v) * table[r][c] + v * table[r][c + 1]) +
         u * ((1 - v) * table[r + 1][c] + v * table[r + 1][c + 1]);
}

}  // namespace baywright::flow
