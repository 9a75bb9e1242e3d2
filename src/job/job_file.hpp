#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "catalog/workshop.hpp"
#include "checks/sheet.hpp"
#include "geometry/base/result.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// Job from the text of job.json. All errors at once, each with its place ("job.json: /ducts/0/route/2 (line 41)"),
/// what is wrong and what is expected; unknown keys are errors with the nearest known key.
ResultAll<Job> read_job(const std::string& text, const std::string& file_name);
/// A job or a sheet is text written by a person: no more than this is read of one.
inline constexpr std::uintmax_t kLargestText = std::uintmax_t{16} << 20;
/// Text of job.json with stable key order; the same job gives the same bytes.
std::string write_job(const Job& job);
/// JSON Schema (2020-12) of job.json, made from the same description the reader uses.
std::string job_schema();

/// A requirement sheet from its text; all errors at once, ids and units checked against the registry of checks.
ResultAll<checks::Sheet> read_sheet(const std::string& text, const std::string& file_name);
/// A complaint about the file of a sheet, with what to do where there is none.
Error about_sheet(Error error);
/// Tools and clamps from the text of their file; all errors at once.
ResultAll<catalog::Workshop> read_workshop(const std::string& text, const std::string& file_name);
/// A complaint about that file, with what to do where there is none.
Error about_tools(Error error);
std::string write_workshop(const catalog::Workshop& workshop);
/// Text of the default sheet that is built into the program (models/sheets/default.json).
std::string default_sheet_text();

}  // namespace baywright::job
