#include <CLI/CLI.hpp>

#include <unistd.h>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <filesystem>
#include <iostream>

#include "app/check_command.hpp"
#include "app/console.hpp"
#include "app/demo_command.hpp"
#include "app/export_command.hpp"
#include "app/near_miss.hpp"
#include "app/new_command.hpp"
#include "app/picture_command.hpp"
#include "app/route_command.hpp"
#include "app/shapes_command.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/clearance/tree_kernels.hpp"
#include "job/job_file.hpp"
#include "job/stock_file.hpp"
#include "report/report.hpp"

namespace {

constexpr int kBadInput = 2;
constexpr int kOurMistake = 70;

constexpr const char* kAbout =
    "Checks the intake, charge-air and breather ducts of an engine fitted into a vehicle it was never drawn for:\n"
    "clearance over the engine's whole motion, straights, clocking, breather distances, bends and restriction.";

constexpr const char* kAfterword =
    "Exit codes: 0 everything is met; 1 something is not met; 3 nothing failed but something is undecided or not\n"
    "checked; 2 bad input or usage; 130 cancelled; 70 a mistake in this program.\n\n"
    "Start:  baywright demo            makes and checks an invented example, and says what to look at\n"
    "        baywright new my-job      writes a small complete job to change into your own\n"
    "        baywright shapes FILE     lists what a model or scan holds and how a job names it\n"
    "        baywright check my-job    reads my-job/job.json and checks every duct in it\n"
    "        baywright route my-job    searches routes for a duct between its two ports\n"
    "        baywright COMMAND --help  what a command does, its options, what it writes\n\n"
    "The tool checks geometry and estimates flow. The engine supplier's sheet, local rules and licensed practice\n"
    "come first.";

void add_cache_option(CLI::App& command, baywright::job::ReadOptions& read) {
  read.cache = true;
  command.add_flag_callback(
      "--no-cache", [&read] { read.cache = false; },
      "Read every file anew, and keep nothing in the job folder's .baywright-cache");
}

void add_reading_options(CLI::App& command, baywright::job::ReadOptions& read) {
  add_cache_option(command, read);
  command
      .add_option("--allow-dir", read.allowed_folders,
                  "Folder outside the job folder from which the job may read files; repeatable")
      ->check(CLI::ExistingDirectory)
      ->allow_extra_args(false);
}

constexpr const char* kDemoAfterword =
    "Exit codes: 0 the jobs were checked and their reports written, whatever these say (all but one fail on\n"
    "purpose); 2 the example could not be made or read; 130 cancelled.";

constexpr const char* kCheckAfterword =
    "Prints one line a finding, worst first: its number (as in the report; for picture --finding), verdict, check,\n"
    "where, what was measured with its uncertainty, the limit; below what is not met or undecided, the pose and what\n"
    "would help. Lines with ! are about the inputs.\n\n"
    "With --out it also writes report.html (one file, opens offline) and findings.json (baywright schema findings).\n"
    "Nothing is ever written into the files a job reads. Ctrl+C stops a long search.\n\n"
    "Exit codes: 0 everything is met; 1 something is not met; 3 nothing failed but something is undecided or not\n"
    "checked; 2 bad input: each mistake of the job file on a line of its own, with its place; 130 cancelled.";

constexpr const char* kNewAfterword =
    "Writes job.json, sheet.json (the default requirements), frame.stl and engine.step (stand-ins for your scan and\n"
    "models) and README.md. The job can be checked as it stands. No file is ever written over.\n\n"
    "Exit codes: 0 written; 2 the folder has one of these files already, or cannot be written.";

constexpr const char* kShapesAfterword =
    "STEP: every shape with the name \"select\" takes, size, place (the corners of its box), solids, faces,\n"
    "triangles. Mesh or points: format, count, and size and place for each unit it may be in, because these files do\n"
    "not say.\n\n"
    "  baywright shapes engine.step\n"
    "  baywright shapes bay.stl                         which unit makes sense?\n"
    "  baywright shapes bay.stl --unit in --entries     a line for \"parts\" in job.json\n\n"
    "Exit codes: 0 listed; 2 the file cannot be read.";

constexpr const char* kExportAfterword =
    "Writes duct-ID.step for every duct, in the vehicle frame, for the bender and for your drawings: one solid per "
    "tube\n"
    "(with its wall) and one per hose (its outer form, filled). Clamps, bosses and nipples are left out.\n\n"
    "Exit codes: 0 written (the names are printed); 2 bad input; 130 cancelled.";

constexpr const char* kRouteAfterword =
    "Searches the way of one duct between its two ports anew: few bends first, through every corridor that has room\n"
    "for the tube. Its fittings are kept and placed again. Every route it names was put into the job and checked as\n"
    "\"baywright check\" does; where none meets, it says what comes nearest and what stands in its way. "
    "docs/routing.md\n"
    "says what is searched and what is not.\n\n"
    "Nothing is written unless --keep or --take asks for it. A job file that --keep wrote is checked by its name:\n"
    "  baywright route my-job --keep\n"
    "  baywright check my-job/route-1.json\n"
    "  baywright route my-job --take 1                the same search, and its first route into my-job/job.json\n"
    "  baywright route my-job --stock stock.json      with your own tubes, bend radii and couplers "
    "(docs/stock-file.md)\n"
    "  baywright route my-job --repair                mends the route that is there with the least change\n\n"
    "Exit codes: 0 a route was found that meets; 1 none; 2 bad input; 130 cancelled (with what was found until then).";

constexpr const char* kSchemaAfterword =
    "  baywright schema job > job.schema.json         give it to your editor: keys are completed and explained\n"
    "  baywright schema stock                         of the stock file that \"baywright route\" takes\n"
    "  baywright schema findings                      what findings.json holds, for your own scripts";

std::vector<std::string> options_of(const CLI::App& command) {
  std::vector<std::string> names;
  for (const CLI::Option* option : command.get_options()) {
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
  }
  return names;
}

std::string unknown_word_of(const CLI::App& program, const std::vector<std::string>& words) {
  std::vector<baywright::app::KnownCommand> commands;
  for (const CLI::App* command : program.get_subcommands({})) {
    commands.push_back({command->get_name(), options_of(*command)});
  }
  return baywright::app::unknown_word(commands, options_of(program), words);
}

int output_lost() {
  std::fputs("baywright: standard output: cannot be written; the disk may be full\n", stderr);
  return kBadInput;
}

int run(int argc, char** argv) {
  using namespace baywright;
  CLI::App cli{kAbout, "baywright"};
  cli.footer(kAfterword);
  cli.set_version_flag("--version", std::string("baywright ") + BAYWRIGHT_VERSION);
  cli.require_subcommand(1);

  app::CheckOptions check;
  CLI::App* check_command = cli.add_subcommand("check", "Measure every duct of a job and say what is met");
  check_command->add_option("JOB", check.job, "Job folder (with job.json), or the job file itself")->required();
  check_command->add_option("--out", check.out, "Folder for findings.json and report.html; made if absent");
  check_command->add_flag("--brief", check.brief, "Print only what is not met, undecided or not checked");
  check_command->add_flag("--no-pictures", check.no_pictures, "Write the report without pictures (faster)");

  add_reading_options(*check_command, check.read);
  check_command->footer(kCheckAfterword);

  app::NewOptions fresh;
  CLI::App* new_command = cli.add_subcommand("new", "Write a small complete job to start from");
  new_command->footer(kNewAfterword);
  new_command->add_option("DIR", fresh.folder, "Folder of the new job; made if absent")->required();
  new_command->add_flag("--inch", fresh.inches, "Show results in inches, inches of water and degrees Fahrenheit");

  app::ShapesOptions shapes;
  CLI::App* shapes_command = cli.add_subcommand("shapes", "List what a model, mesh or point file holds");
  shapes_command->footer(kShapesAfterword);
  shapes_command->add_option("FILE", shapes.file, "STEP, STL, PLY, OBJ, XYZ, CSV or PCD file")->required();
  shapes_command
      ->add_option("--unit", shapes.unit, "Unit of the numbers where the file states none, and of the sizes shown")
      ->check(CLI::IsMember(app::shape_units()));
  shapes_command->add_flag("--entries", shapes.entries, "Print entries for \"parts\" in job.json instead of the table");

  app::DemoOptions demo;
  CLI::App* demo_command = cli.add_subcommand("demo", "Make the invented Tarn 40 example and check its three jobs");
  demo_command->footer(kDemoAfterword);
  demo_command->add_option("--out", demo.out, "Folder for the example and its reports")->capture_default_str();
  demo_command->add_flag("--no-pictures", demo.no_pictures, "Write the reports without pictures (faster)");
  add_cache_option(*demo_command, demo.read);

  app::ExportOptions exports;
  CLI::App* export_command = cli.add_subcommand("export", "Write every duct of a job as STEP (tubes with wall, hoses)");
  export_command->add_option("JOB", exports.job, "Job folder (with job.json), or the job file itself")->required();
  export_command->add_option("--out", exports.out, "Folder for the files; made if absent")->required();

  add_reading_options(*export_command, exports.read);
  export_command->footer(kExportAfterword);

  app::PictureOptions picture;
  CLI::App* picture_command =
      cli.add_subcommand("picture", "Save one picture of a job's bay as a PNG; needs no display");
  picture_command->add_option("JOB", picture.job, "Job folder (with job.json), or the job file itself")->required();
  picture_command->add_option("--out", picture.out, "PNG file")->required();
  picture_command->add_option("--view", picture.view, "From where: oblique, left, above or front")
      ->check(CLI::IsMember({"oblique", "left", "above", "front"}))
      ->capture_default_str();
  picture_command
      ->add_option("--finding", picture.finding, "Close-up of this finding instead, numbered as in the report")
      ->check(CLI::PositiveNumber);
  picture_command->add_option("--width", picture.width_px, "Pixels")
      ->check(CLI::Range(64, 8192))
      ->capture_default_str();
  picture_command->add_option("--height", picture.height_px, "Pixels")
      ->check(CLI::Range(64, 8192))
      ->capture_default_str();
  add_reading_options(*picture_command, picture.read);

  app::RouteOptions route;
  CLI::App* route_command = cli.add_subcommand("route", "Search routes for a duct between its two ports");
  route_command->add_option("JOB", route.job, "Job folder (with job.json), or the job file itself")->required();
  route_command->add_option("--duct", route.duct, "Which duct; may be left out where the job has one only");
  route_command->add_option("--effort", route.effort, "How long to search: two rounds for each, and two more")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  route_command->add_option("--time", route.time_s, "Seconds after which no further round starts")
      ->check([](const std::string& text) {
        // A range of the library's own prints its ends in full, and lets through what is no number.
        constexpr double kMost_s = 1e7;
        char* end = nullptr;
        const double seconds = std::strtod(text.c_str(), &end);
        const bool good = end != text.c_str() && *end == 0 && seconds >= 0 && seconds <= kMost_s;
        return good ? std::string() : "takes seconds from 0 to 10000000, not " + text;
      })
      ->capture_default_str();
  route_command
      ->add_option("--seed", route.seed, "Another number searches elsewhere; the same one gives the same routes")
      ->capture_default_str();
  route_command->add_flag("--keep", route.keep,
                          "Write every route found as a job file beside the job: route-1.json...");
  route_command->add_option(
      "--stock", route.stock,
      "File of tubes and bend radii to search with, couplers and brackets to add; without it the one the "
      "job names, or the job's own tube");
  route_command
      ->add_option("--weight", route.weights,
                   "NAME=NUMBER, repeatable: how much bends, restriction, margin, length, pieces, moved or prefer "
                   "count for the order")
      ->allow_extra_args(false);
  route_command->add_flag(
      "--repair", route.repair,
      "Mend the job's own route: keep its way and tube, move its points as little as makes it meet, and add "
      "couplers and brackets of the stock where it lacks them");
  route_command->add_option("--take", route.take, "Put this route, by its number, into the job file")
      ->check(CLI::PositiveNumber);
  add_reading_options(*route_command, route.read);
  route_command->footer(kRouteAfterword);

  std::string schema = "job";
  CLI::App* schema_command =
      cli.add_subcommand("schema", "Print a JSON Schema: of the job file, of the stock file or of findings.json");
  schema_command->footer(kSchemaAfterword);
  schema_command->add_option("WHICH", schema, "job, stock or findings")
      ->check(CLI::IsMember({"job", "stock", "findings"}));

  try {
    cli.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const std::string unknown = error.get_exit_code() == 0 ? "" : unknown_word_of(cli, {argv + 1, argv + argc});
    if (!unknown.empty()) {
      std::fprintf(stderr, "baywright: %s\n", unknown.c_str());
      return kBadInput;
    }
    const int status = cli.exit(error);
    if (!std::cout.flush()) return output_lost();
    return status == 0 ? 0 : kBadInput;
  }
  if (const auto kernels = chosen_tree_kernels(); !kernels) {
    app::print_errors({kernels.error()});
    return kBadInput;
  }
  if (*check_command) return app::run_check(check);
  if (*new_command) return app::run_new(fresh, argv[0]);
  if (*shapes_command) return app::run_shapes(shapes);
  if (*demo_command) return app::run_demo(demo, argv[0]);
  if (*export_command) return app::run_export(exports);
  if (*route_command) return app::run_route(route);
  if (*picture_command) return app::run_picture(picture);
  app::print(schema == "job" ? job::job_schema() : schema == "stock" ? job::stock_schema() : report::findings_schema());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  // A reader that goes away (`| head`) ends the output, not the program's exit code.
  std::signal(SIGPIPE, SIG_IGN);
  try {
    const int status = run(argc, argv);
    return baywright::app::output_was_lost() ? output_lost() : status;
  } catch (const std::bad_alloc&) {
    std::fputs("baywright: out of memory\n", stderr);
    return kBadInput;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "baywright: this is a mistake in the program, please report it: %s\n", error.what());
    return kOurMistake;
  }
}
