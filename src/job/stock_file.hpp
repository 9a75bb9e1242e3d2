#pragma once

#include <filesystem>
#include <string>

#include "catalog/workshop.hpp"
#include "duct/stock.hpp"
#include "geometry/base/result.hpp"

namespace baywright::job {

/// Tubes and couplers from the text of a stock file; all errors at once, each with its place, what is wrong and what is
/// expected. Clamps and hose materials that it names have to be in the workshop.
ResultAll<duct::Stock> read_stock(const std::string& text, const std::string& file_name,
                                  const catalog::Workshop& workshop);
/// The same from a file. Fails: it cannot be read, with what to do.
ResultAll<duct::Stock> open_stock(const std::filesystem::path& file, const catalog::Workshop& workshop);
/// Text of a stock file with stable key order.
std::string write_stock(const duct::Stock& stock);
/// JSON Schema (2020-12) of the stock file, made from the same description the reader uses.
std::string stock_schema();

}  // namespace baywright::job
