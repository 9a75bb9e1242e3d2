// The program from outside: exit codes, what it writes and what it leaves behind when it cannot.

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>

#include "checks/check.hpp"
#include "geometry/base/atomic_file.hpp"
#include "tests/cli/process.hpp"

using namespace baywright;
using namespace baywright::test;
namespace fs = std::filesystem;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }
void write(const fs::path& path, const std::string& text) { std::ofstream(path, std::ios::binary) << text; }

/// A plate of 400 x 400 mm, level, its top 100 mm below the axis of the duct.
std::string plate() { return "v 0 -200 -100\nv 400 -200 -100\nv 400 200 -100\nv 0 200 -100\nf 1 2 3\nf 1 3 4\n"; }

/// A sheet that asks for clearance alone.
std::string sheet(double same_body_mm) {
  std::string others;
  for (const checks::CheckDef& check : checks::registry()) {
    if (check.id == "cr.static" || check.id == "cr.motion") continue;
    others += (others.empty() ? "\"" : ", \"") + check.id + "\": \"a test of clearance\"";
  }
  return R"({ "baywright_sheet": 1, "name": "Test", "limits": {}, "not_required": { )" + others +
         R"( }, "clearance": [ { "class": "plain", "same_body_mm": )" + std::to_string(same_body_mm) +
         R"(, "at_rest_mm": 10, "over_motion_mm": 5,
    "origin": "shop rule", "text": "test" } ] })";
}

/// A breather of 30 mm along x from (0, 0, 0) to (400, 0, 0); its clearance to the plate is 100 - 15 = 85 mm. A
/// breather has no other check here: nothing moves and no bend is held by a bender.
std::string job(const std::string& more = R"("sheet": "sheet.json")", const std::string& bodies = "[]",
                const std::string& body_of_plate = "vehicle") {
  return R"({ "baywright_job": 1, "name": "Straight pipe", "bodies": )" + bodies + R"(,
  "parts": [ { "id": "plate", "file": "plate.obj", "mm_per_unit": 1, "uncertainty_mm": 0.5, "body": ")" +
         body_of_plate +
         R"(" } ],
  "ports": [
    { "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 26, "outer_diameter_mm": 30 },
    { "id": "b", "center_mm": [400, 0, 0], "axis": [-1, 0, 0], "bore_mm": 26, "outer_diameter_mm": 30 } ],
  "ducts": [ { "id": "pipe", "service": "breather", "from": { "port": "a" }, "to": { "port": "b" },
    "tube": { "outer_diameter_mm": 30, "wall_mm": 2 }, "bend_tolerance_mm": 0, "fitting_tolerance_mm": 0,
    "route": [ { "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [400, 0, 0] } ] } ],
  "clearance_range_mm": 200, )" +
         more + " }";
}

/// Folder with the job, the plate and a sheet.
struct JobFolder {
  Folder folder;
  explicit JobFolder(const std::string& text = job(), double same_body_mm = 50) {
    write(folder / "job.json", text);
    write(folder / "plate.obj", plate());
    write(folder / "sheet.json", sheet(same_body_mm));
  }
  std::string path() const { return folder.path().string(); }
};

/// The program installed into a folder of its own.
class Installed {
 public:
  Installed() {
    const std::string command = std::string("\"") + BAYWRIGHT_CMAKE + "\" --install \"" + BAYWRIGHT_BINARY_DIR +
                                "\" --prefix \"" + folder_.path().string() + "\" > /dev/null";
    if (std::system(command.c_str()) != 0) throw std::runtime_error("cannot install: " + command);
  }
  std::string program() const { return (folder_ / "bin/baywright").string(); }
  fs::path maker() const { return folder_ / "libexec/baywright/make_tarn40"; }
  std::vector<fs::path> programs() const {
    std::vector<fs::path> all = {maker()};
    for (const auto& entry : fs::directory_iterator(folder_ / "bin")) all.push_back(entry.path());
    return all;
  }

 private:
  Folder folder_;
};

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  if (fs::exists(folder)) {
    for (const auto& entry : fs::directory_iterator(folder)) names.push_back(entry.path().filename().string());
  }
  return names;
}

}  // namespace

TEST_CASE("picture: a PNG of the size asked for, of a view or of a finding; no finding of that number", "[cli]") {
  const JobFolder made;
  const std::string out = (made.folder / "bay.png").string();
  const auto number = [](const std::string& bytes, std::size_t at) {
    int value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = value * 256 + static_cast<unsigned char>(bytes[at + i]);
    return value;
  };
  const Outcome view = run({"picture", made.path(), "--out", out, "--width", "320", "--height", "200"});
  if (view.code == 2 && (has(view.err, "without pictures") || has(view.err, "off-screen"))) {
    WARN("no pictures can be made here: " << view.err);
    return;
  }
  REQUIRE(view.code == 0);
  const std::string png = contents(out);
  REQUIRE(png.size() > 24);
  CHECK(png.substr(1, 3) == "PNG");
  CHECK(number(png, 16) == 320);
  CHECK(number(png, 20) == 200);
  CHECK(run({"picture", made.path(), "--out", out, "--finding", "1"}).code == 0);
  CHECK(contents(out) != png);
  fs::remove(out);
  const Outcome none = run({"picture", made.path(), "--out", out, "--finding", "999"});
  CHECK(none.code == 2);
  CHECK(has(none.err, "no finding 999"));
  CHECK_FALSE(fs::exists(out));
  CHECK(run({"picture", made.path(), "--out", out, "--view", "behind"}).code == 2);
  for (const char* name : {"bay.jpg", "bay"}) {
    const std::string other = (made.folder / name).string();
    const Outcome refused = run({"picture", made.path(), "--out", other});
    CHECK(refused.code == 2);
    CHECK(refused.err == "baywright: " + other + ": pictures are written as PNG only; give a name that ends in .png\n");
    CHECK_FALSE(fs::exists(other));
  }
  CHECK(run({"picture", made.path(), "--out", (made.folder / "BAY.PNG").string()}).code == 0);
}

TEST_CASE("route: names what meets, writes only what it is asked to, and says what stands in the way", "[cli]") {
  std::string detour = job();
  const std::string end = R"({ "id": "P1", "at_mm": [400, 0, 0] })";
  detour.replace(detour.find(end), end.size(),
                 R"({ "id": "Q1", "at_mm": [100, 0, 0], "bend_radius_mm": 40 },
      { "id": "Q2", "at_mm": [200, 40, -20], "bend_radius_mm": 40 },
      { "id": "Q3", "at_mm": [300, 0, 0], "bend_radius_mm": 40 }, )" +
                     end);
  const JobFolder made(detour);
  const auto before = names_in(made.folder.path());
  const Outcome found = run({"route", made.path(), "--effort", "1", "--no-cache"});
  INFO(found.out << found.err);
  CHECK(found.code == 0);
  CHECK(has(found.out, "     bends  restriction  margin   length    pieces  made of"));
  CHECK(has(found.out, "  1  0      not known    "));
  CHECK(has(found.out, "400.0 mm  1       tube 30.0 mm x 2.00 mm"));
  CHECK(names_in(made.folder.path()) == before);
  CHECK(contents(made.folder / "job.json") == detour);

  const Outcome kept = run({"route", made.path(), "--effort", "1", "--no-cache", "--keep", "--take", "1"});
  CHECK(kept.code == 0);
  const std::string first = contents(made.folder / "route-1.json");
  const Outcome twice = run({"route", made.path(), "--effort", "1", "--no-cache", "--keep"});
  CHECK(twice.code == 2);
  CHECK(has(twice.err, "route-1.json: is there already"));
  CHECK(contents(made.folder / "route-1.json") == first);
  const Outcome cut = run({"route", made.path(), "--time", "0", "--no-cache", "--take", "1"});
  // The first is the preferred one of what was found, also where the time cut the search; others have no such meaning.
  CHECK(cut.code == 0);
  CHECK(has(cut.out, "the time was up"));
  CHECK(has(cut.out, "Route 1 is now in "));
  const Outcome second = run({"route", made.path(), "--time", "0", "--no-cache", "--take", "2"});
  CHECK(second.code == 2);
  CHECK(has(second.err, "the search was cut by its time"));
  CHECK(run({"check", (made.folder / "route-1.json").string(), "--no-cache"}).code == 0);
  CHECK(run({"check", made.path(), "--no-cache"}).code == 0);
  const std::string taken = contents(made.folder / "job.json");
  CHECK(taken.substr(0, taken.find("\"route\"")) == detour.substr(0, detour.find("\"route\"")));
  CHECK_FALSE(has(taken, "Q2"));

  write(made.folder / "stock.json", R"({ "baywright_stock": 1, "tubes": [ { "id": "t30",
    "tube": { "outer_diameter_mm": 30, "wall_mm": 2 }, "bend_radii_mm": [45, 60], "least_straight_mm": 60,
    "source": "test" } ] })");
  const std::string stock_file = (made.folder / "stock.json").string();
  const Outcome stock = run({"route", made.path(), "--effort", "1", "--no-cache", "--stock", stock_file});
  INFO(stock.out << stock.err);
  CHECK(stock.code == 0);
  CHECK(has(stock.out, "tubes of the stock: t30"));
  CHECK(has(stock.out, "400.0 mm  1       tube t30"));
  // Where no tube of the stock goes onto the ports, the duct's own is searched too.
  write(made.folder / "wide.json", R"({ "baywright_stock": 1, "tubes": [ { "id": "t40",
    "tube": { "outer_diameter_mm": 40, "wall_mm": 2 }, "bend_radii_mm": [60], "least_straight_mm": 60,
    "source": "test" } ] })");
  const Outcome wide =
      run({"route", made.path(), "--effort", "1", "--no-cache", "--stock", (made.folder / "wide.json").string()});
  INFO(wide.out << wide.err);
  CHECK(wide.code == 0);
  CHECK(has(wide.out, "tube 30.0 mm, bends of "));
  CHECK(has(wide.out, ", and, though none has the size of its ports, tubes of the stock: t40"));
  CHECK(has(wide.out, "400.0 mm  1       tube 30.0 mm x 2.00 mm"));
  const Outcome no_stock = run({"route", made.path(), "--stock", (made.folder / "none.json").string()});
  CHECK(no_stock.code == 2);
  CHECK(has(no_stock.err, "docs/stock-file.md"));
  const Outcome weight = run({"route", made.path(), "--weight", "noise=2"});
  CHECK(weight.code == 2);
  CHECK(has(weight.err, "'noise=2' is no weight"));

  const Outcome unknown = run({"route", made.path(), "--duct", "nobody"});
  CHECK(unknown.code == 2);
  CHECK(has(unknown.err, "baywright: --duct: there is no duct 'nobody'; the job has pipe\n"));

  // The ports themselves are 85 mm above the plate.
  const JobFolder blocked(job(), 120);
  const Outcome none = run({"route", blocked.path(), "--effort", "1", "--no-cache", "--take", "1"});
  INFO(none.out << none.err);
  CHECK(none.code == 2);
  CHECK(has(none.out, "What comes nearest"));
  CHECK(has(none.out, "not met: Clearance at rest, tube 1 - plate"));
  CHECK(has(none.err, "there is no route 1"));
  CHECK_FALSE(has(none.out, "None can count"));
  CHECK(run({"route", blocked.path(), "--effort", "1", "--no-cache"}).code == 1);

  // What lacks on every near-miss is told once, ahead of them, and not again below each.
  std::string lines_asked = sheet(120);
  const std::string waived = R"("cr.lines": "a test of clearance", )";
  REQUIRE(has(lines_asked, waived));
  lines_asked.erase(lines_asked.find(waived), waived.size());
  write(blocked.folder / "sheet.json", lines_asked);
  const Outcome gap = run({"route", blocked.path(), "--effort", "1", "--no-cache"});
  INFO(gap.out << gap.err);
  CHECK(gap.code == 1);
  CHECK(has(gap.out, "None can count while this is not checked, which none of them changes:\n     not checked: "));
  const std::string class_lacks = "no part of the job is of class fluid line";
  const std::size_t told = gap.out.find(class_lacks);
  REQUIRE(told < gap.out.find("What comes nearest"));
  CHECK(gap.out.find(class_lacks, told + 1) > gap.out.find("What would free it"));
  CHECK(has(gap.out, "not met: Clearance at rest, tube 1 - plate"));
}

TEST_CASE("route: a part the job lets move is moved, written where it stands, and the job passes its check", "[cli]") {
  // 85 mm above the plate where the sheet asks for 120: the post with its port and the other port may be raised by 80.
  std::string text = job(R"("sheet": "sheet.json", "routing": { "stock": "stock.json", "may_move": [ { "name": "post",
    "parts": ["post"], "ports": ["a"], "slides": [ { "along": [0, 0, 1], "to_mm": 80 } ] } ] })");
  const std::string plate_end = R"("body": "vehicle" } ],)";
  text.replace(text.find(plate_end), plate_end.size(), R"("body": "vehicle" },
    { "id": "post", "file": "post.obj", "mm_per_unit": 1, "uncertainty_mm": 0.5, "body": "vehicle" } ],)");
  const std::string port_b = R"({ "id": "b", )";
  text.replace(text.find(port_b), port_b.size(), R"({ "id": "b", "part": "post", "contact_length_mm": 20, )");
  const JobFolder made(text, 120);
  write(made.folder / "post.obj", "v 600 -200 -100\nv 600 200 -100\nv 600 0 100\nf 1 2 3\n");
  const std::string stock = R"({ "baywright_stock": 1, "tubes": [ { "id": "t30",
    "tube": { "outer_diameter_mm": 30, "wall_mm": 2 }, "bend_radii_mm": [45], "least_straight_mm": 60, "source": "test" } ] })";
  const Outcome no_stock = run({"check", made.path(), "--no-cache"});
  CHECK(no_stock.code == 2);
  CHECK(has(no_stock.err, "stock.json"));
  write(made.folder / "stock.json", stock);
  CHECK(run({"check", made.path(), "--no-cache"}).code == 1);
  const Outcome taken = run({"route", made.path(), "--effort", "1", "--no-cache", "--keep", "--take", "1"});
  INFO(taken.out << taken.err);
  REQUIRE(taken.code == 0);
  CHECK(has(taken.out, "tubes of the stock: t30"));
  CHECK(has(taken.out, "; with post moved by "));
  CHECK(has(taken.out, " mm along +z"));
  const std::string now = contents(made.folder / "job.json");
  INFO(now);
  CHECK(has(now, "\"placement\": {"));
  CHECK(has(now, "\"may_move\": []"));
  CHECK(now.substr(0, now.find("post.obj")) == text.substr(0, text.find("post.obj")));
  CHECK(contents(made.folder / "route-1.json") == now);
  CHECK(run({"check", made.path(), "--no-cache"}).code == 0);
}

TEST_CASE("usage: nothing, help, what nobody knows", "[cli]") {
  CHECK(run({}).code == 2);
  const Outcome help = run({"--help"});
  CHECK(help.code == 0);
  for (const char* word : {"check", "demo", "new", "shapes", "export", "schema", "Exit codes"})
    CHECK(has(help.out, word));
  for (const char* command : {"check", "demo", "new", "shapes", "export"}) {
    INFO(command);
    const Outcome own = run({command, "--help"});
    CHECK(own.code == 0);
    CHECK(has(own.out, "Exit codes"));
  }
  CHECK(run({"check"}).code == 2);
  CHECK(has(run({"--version"}).out, "baywright "));
  // What the exit codes mean differs: a demo that fails requirements is a demo that worked.
  const Outcome demo = run({"demo", "--help"});
  CHECK(demo.code == 0);
  CHECK(has(demo.out, "whatever"));
  CHECK_FALSE(has(demo.out, "1 something is not met"));
}

TEST_CASE("usage: a slip of the pen is told the nearest word, in one line", "[cli]") {
  const auto told = [](const std::vector<std::string>& arguments) {
    const Outcome outcome = run(arguments);
    CHECK(outcome.code == 2);
    CHECK(outcome.out.empty());
    return outcome.err;
  };
  CHECK(told({"chekc"}) == "baywright: there is no command \"chekc\"; did you mean check?\n");
  CHECK(told({"chekc", "--out", "x", "job"}) == "baywright: there is no command \"chekc\"; did you mean check?\n");
  CHECK(told({"xyzzy"}) ==
        "baywright: there is no command \"xyzzy\"; known: check, new, shapes, demo, export, picture, route, schema\n");
  CHECK(told({"check", "job", "--ouut", "x"}) == "baywright: check has no option \"--ouut\"; did you mean --out?\n");
  CHECK(told({"check", "--ouut=x", "job"}) == "baywright: check has no option \"--ouut\"; did you mean --out?\n");
  CHECK(told({"demo", "--nopictures"}) ==
        "baywright: demo has no option \"--nopictures\"; did you mean --no-pictures?\n");
  CHECK(told({"--versoin"}) == "baywright: there is no option \"--versoin\"; did you mean --version?\n");
  CHECK(has(told({"check", "--wrong"}), "known: --help, --out,"));
  // A value that only looks like a mistake is none: what is wrong here is the width.
  CHECK(has(told({"picture", "chekc", "--out", "x.png", "--width", "1"}), "--width"));
}

TEST_CASE("schema prints what the documents hold", "[cli]") {
  for (const char* which : {"job", "findings"}) {
    const Outcome outcome = run({"schema", which});
    CHECK(outcome.code == 0);
    CHECK(outcome.out == contents(fs::path(BAYWRIGHT_SOURCE_DIR) / "docs" / (std::string(which) + ".schema.json")));
  }
  CHECK(run({"schema", "nothing"}).code == 2);
}

TEST_CASE("check: 0 all met, 1 not met, 3 open, 2 bad input", "[cli]") {
  const Outcome met = run({"check", JobFolder().path()});
  INFO(met.out << met.err);
  CHECK(met.code == 0);
  CHECK(has(met.out, "0 not met, 0 undecided, 0 not checked, 1 met"));
  CHECK(run({"check", JobFolder(job(), 90).path()}).code == 1);
  CHECK(run({"check", JobFolder(job(), 85).path()}).code == 3);  // 85 within plus or minus 1 of the scan
  CHECK(run({"check", JobFolder(job(R"("note": "no sheet")")).path()}).code == 3);
  CHECK(run({"check", "/nowhere/at/all"}).code == 2);
  const Outcome broken = run({"check", JobFolder("{ \"baywright_job\": 1, ").path()});
  CHECK(broken.code == 2);
  CHECK(has(broken.err, "job.json"));
  CHECK(broken.out.empty());
}

TEST_CASE("a job without a duct says so", "[cli]") {
  const Outcome empty = run({"check", JobFolder(R"({ "baywright_job": 1 })").path()});
  CHECK(empty.code == 3);
  CHECK(has(empty.out, "the job has no duct"));
}

TEST_CASE("check --out: both files, or a clear failure", "[cli]") {
  const JobFolder made;
  const Folder out;
  CHECK(run({"check", made.path(), "--no-pictures", "--out", (out / "new/deep").string()}).code == 0);
  CHECK(names_in(out / "new/deep").size() == 2);
  CHECK(fs::file_size(out / "new/deep/report.html") > 1000);

  write(out / "file", "keep me");
  const Outcome blocked = run({"check", made.path(), "--no-pictures", "--out", (out / "file").string()});
  CHECK(blocked.code == 2);
  CHECK(has(blocked.err, "file"));
  CHECK(contents(out / "file") == "keep me");
  CHECK(run({"check", made.path(), "--no-pictures", "--out", "/proc/baywright"}).code == 2);

  fs::create_directories(out / "taken/findings.json");  // a folder where the file should go
  CHECK(run({"check", made.path(), "--no-pictures", "--out", (out / "taken").string()}).code == 2);
  CHECK(names_in(out / "taken").size() == 1);
}

TEST_CASE("check --out: an earlier set of results is replaced whole or stays whole", "[cli]") {
  const JobFolder made;
  const Folder out;
  // The page cannot take its place: the findings beside it stay as they were.
  fs::create_directories(out / "half/report.html");
  write(out / "half/findings.json", "old");
  const Outcome half = run({"check", made.path(), "--no-pictures", "--out", (out / "half").string()});
  CHECK(half.code == 2);
  CHECK(has(half.err, "report.html"));
  CHECK(contents(out / "half/findings.json") == "old");
  CHECK(names_in(out / "half").size() == 2);

  // Ctrl+C at any time, drawing pictures included.
  const fs::path whole = out / "whole";
  const std::vector<std::string> arguments = {"check", made.path(), "--out", whole.string()};
  const auto begin = std::chrono::steady_clock::now();
  REQUIRE(run(arguments).code == 0);
  const auto takes = std::chrono::steady_clock::now() - begin;
  constexpr int kTimes = 12;
  int cancelled = 0;
  for (int i = 1; i < kTimes; ++i) {
    write(whole / "findings.json", "old");
    write(whole / "report.html", "old");
    Process process(arguments, out / "out", out / "err");
    std::this_thread::sleep_for(i * takes / kTimes);
    process.interrupt();
    const int code = process.wait();
    INFO(i << ": " << code << " " << contents(out / "err"));
    const bool old_findings = contents(whole / "findings.json") == "old";
    CHECK(old_findings == (contents(whole / "report.html") == "old"));
    CHECK(names_in(whole).size() == 2);
    if (code == 130) {
      CHECK(old_findings);
      ++cancelled;
    }
  }
  CHECK(cancelled > 0);
}

TEST_CASE("output that cannot be written is a failure", "[cli]") {
  const JobFolder made;
  const Folder folder;
  const std::vector<std::vector<std::string>> all = {
      {"check", made.path()}, {"schema", "job"}, {"--help"}, {"export", made.path(), "--out", folder.path().string()}};
  for (const auto& arguments : all) {
    Process process(arguments, "/dev/full", folder / "err");
    INFO(arguments.front());
    CHECK(process.wait() == 2);
    CHECK(has(contents(folder / "err"), "standard output"));
  }
}

TEST_CASE("export writes every duct, or says why not", "[cli]") {
  const JobFolder made;
  const Folder out;
  const Outcome done = run({"export", made.path(), "--out", (out / "step").string()});
  CHECK(done.code == 0);
  CHECK(contents(out / "step/duct-pipe.step").starts_with("ISO-10303-21"));
  write(out / "file", "keep me");
  CHECK(run({"export", made.path(), "--out", (out / "file").string()}).code == 2);
  CHECK(contents(out / "file") == "keep me");
  CHECK(run({"export", made.path()}).code == 2);
}

/// A wavy sheet, so that every turn brings another place nearest.
std::string waves() {
  constexpr int kCount = 40;
  std::string text;
  for (int i = 0; i <= kCount; ++i) {
    for (int k = 0; k <= kCount; ++k) {
      const double x = 10.0 * i, y = 10.0 * k - 200;
      text += "v " + std::to_string(x) + " " + std::to_string(y) + " " +
              std::to_string(-200 + 0.0005 * y * y + 10 * std::sin(x / 30)) + "\n";
    }
  }
  for (int i = 0; i < kCount; ++i) {
    for (int k = 1; k <= kCount; ++k) {
      const int a = i * (kCount + 1) + k, b = a + kCount + 1;
      text += "f " + std::to_string(a) + " " + std::to_string(a + 1) + " " + std::to_string(b + 1) + "\n";
      text += "f " + std::to_string(a) + " " + std::to_string(b + 1) + " " + std::to_string(b) + "\n";
    }
  }
  return text;
}

TEST_CASE("a search that takes minutes says how far it is and can be stopped", "[cli]") {
  // Two bodies with six freedoms each, combined, and a micrometre asked for.
  const std::string turning = R"("motion": { "kind": "ranges",
    "roll_axis": { "point_mm": [200, 0, -300], "direction": [1, 0, 0] },
    "roll_deg": [-10, 10], "pitch_deg": [-10, 10], "yaw_deg": [-10, 10],
    "shift_from_mm": [-20, -20, -20], "shift_to_mm": [20, 20, 20] })";
  const std::string bodies = R"([ { "id": "engine", )" + turning + R"( }, { "id": "cab", )" + turning + " } ]";
  std::string text =
      job(R"("sheet": "sheet.json", "motions_combined": true, "clearance_width_mm": 0.001)", bodies, "engine");
  text.replace(text.find(R"("id": "b",)"), 10, R"("id": "b", "body": "cab",)");
  const std::string part = R"({ "id": "plate", "file": "plate.obj", )";
  const std::string more = R"("mm_per_unit": 1, "body": "engine", "placement": { "roll_deg": )";
  std::string parts;
  for (int i = 1; i < 60; ++i) {
    parts += R"({ "id": "plate-)" + std::to_string(i) + R"(", "file": "plate.obj", )" + more + std::to_string(3 * i) +
             R"(, "yaw_deg": )" + std::to_string(i) + " } }, ";
  }
  text.insert(text.find(part), parts);
  const JobFolder made(text);
  write(made.folder / "plate.obj", waves());
  const Folder folder;
  Process process({"check", made.path(), "--no-pictures", "--out", (folder / "report").string()}, folder / "out",
                  folder / "err");
  CHECK(process.says("cells"));
  process.interrupt();
  CHECK(process.wait() == 130);
  CHECK(contents(folder / "out").empty());
  CHECK(names_in(folder / "report").empty());
}

TEST_CASE("new: a job that can be checked at once and is never written over", "[cli]") {
  for (const bool inch : {false, true}) {
    const Folder folder;
    const std::string dir = (folder / "my-job").string();
    std::vector<std::string> arguments = {"new", dir};
    if (inch) arguments.emplace_back("--inch");
    const Outcome made = run(arguments);
    INFO(made.err);
    CHECK(made.code == 0);
    CHECK(names_in(dir).size() == 5);
    CHECK(has(made.out, "(exit code 3: nothing fails, and "));
    const Outcome check = run({"check", dir});
    INFO(check.out << check.err);
    CHECK(check.code == 3);  // what only a person can see is still to be answered, and nothing else
    CHECK(has(check.out, "0 not met, 0 undecided, "));
    CHECK(has(check.out, " only told"));  // that the job is open, and what the weight info has
    CHECK(has(check.out, inch ? " in " : " mm "));
    CHECK_FALSE(has(check.out, inch ? " mm" : " in\n"));
    write(fs::path(dir) / "job.json", "mine");
    fs::remove(fs::path(dir) / "frame.stl");
    CHECK(run({"new", dir}).code == 2);
    CHECK(contents(fs::path(dir) / "job.json") == "mine");
    CHECK_FALSE(fs::exists(fs::path(dir) / "frame.stl"));
  }
  CHECK(run({"new"}).code == 2);
  CHECK(run({"new", "/proc/baywright"}).code == 2);
}

TEST_CASE("shapes: what a file holds, and entries that a job can take", "[cli]") {
  const Folder folder;
  const std::string dir = (folder / "job").string();
  REQUIRE(run({"new", dir}).code == 0);
  // A cylinder of radius 150 and length 380: three faces.
  const Outcome step = run({"shapes", dir + "/engine.step"});
  CHECK(step.code == 0);
  CHECK(has(step.out,
            "\"engine block\"  380.0 x 300.0 x 300.0 mm, from (-400.0, -150.0, 0.0) to (-20.0, 150.0, 300.0), 1 solid, "
            "3 faces"));
  CHECK(has(run({"shapes", dir + "/engine.step", "--unit", "in"}).out, "14.961 x 11.811 x 11.811 in"));
  CHECK(run({"shapes", dir + "/engine.step", "--entries"}).out ==
        "{ \"id\": \"engine-block\", \"file\": \"engine.step\", \"select\": [\"engine block\"] }\n");
  // A plate of 1000 x 1200 x 100 with 12 triangles.
  const Outcome mesh = run({"shapes", dir + "/frame.stl"});
  CHECK(has(mesh.out, "12 triangles, no unit declared"));
  CHECK(
      has(mesh.out, "if in mm  1000.0 x 1200.0 x 100.0 mm, from (-600.0, -600.0, -150.0) to (400.0, 600.0, -50.0)\n"));
  CHECK(has(mesh.out, "if in m   1000000.0 x 1200000.0 x 100000.0 mm   (unlikely"));
  CHECK(run({"shapes", dir + "/frame.stl", "--entries"}).code == 2);
  CHECK(run({"shapes", dir + "/frame.stl", "--entries", "--unit", "in"}).out ==
        "{ \"id\": \"frame\", \"file\": \"frame.stl\", \"mm_per_unit\": 25.4 }\n");
  CHECK(run({"shapes", dir + "/job.json"}).code == 2);
  CHECK(run({"shapes", dir + "/nothing.step"}).code == 2);
  CHECK(run({"shapes", dir + "/frame.stl", "--unit", "furlong"}).code == 2);
}

TEST_CASE("two runs give the same bytes", "[cli]") {
  const std::string motion = R"([ { "id": "engine", "motion": { "kind": "assumed",
    "roll_axis": { "point_mm": [200, 0, -300], "direction": [1, 0, 0] } } } ])";
  const JobFolder made(job(R"("sheet": "sheet.json")", motion, "engine"));
  const Folder out;
  for (const char* name : {"one", "two"}) CHECK(run({"check", made.path(), "--out", (out / name).string()}).code != 2);
  for (const char* name : {"findings.json", "report.html"}) {
    const std::string first = contents(out / "one" / name);
    CHECK(first.size() > 1000);
    CHECK((first == contents(out / "two" / name)));
  }
}

TEST_CASE("the first opening, the second and one without a cache give the same bytes", "[cli]") {
  const JobFolder made;
  const Folder out;
  const fs::path cache = made.folder / ".baywright-cache";
  const auto check = [&](const char* name, const std::vector<std::string>& more) {
    std::vector<std::string> arguments = {"check", made.path(), "--no-pictures", "--out", (out / name).string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Outcome outcome = run(arguments);
    CHECK(outcome.code == 0);
    return outcome;
  };
  check("none", {"--no-cache"});
  CHECK_FALSE(fs::exists(cache));
  CHECK(check("first", {}).err.find("note") == std::string::npos);
  CHECK(names_in(cache).size() == 2);  // one part, and the tag
  check("second", {});
  // Two programs at once on a folder whose cache has just been deleted.
  fs::remove_all(cache);
  {
    const Folder folder;
    Process one({"check", made.path()}, folder / "1", folder / "2");
    Process two({"check", made.path()}, folder / "3", folder / "4");
    CHECK(one.wait() == 0);
    CHECK(two.wait() == 0);
  }
  CHECK(names_in(cache).size() == 2);
  // Damage: said on standard error, and in no result.
  for (const std::string& name : names_in(cache)) {
    std::string bytes = contents(cache / name);
    bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
    write(cache / name, bytes);
  }
  CHECK(has(check("damaged", {}).err, "baywright: note: part plate: its file in .baywright-cache block "));
  for (const char* file : {"findings.json", "report.html"}) {
    const std::string first = contents(out / "none" / file);
    CHECK(first.size() > 1000);
    for (const char* name : {"first", "second", "damaged"}) CHECK((first == contents(out / name / file)));
  }
}

TEST_CASE("demo from the build tree: what the user changed is kept", "[cli][demo]") {
  const Folder out;
  for (const char* name : {"first-try", "fitted"}) {
    fs::create_directories(out / "tarn40" / name);
    write(out / "tarn40" / name / "job.json", job());
    write(out / "tarn40" / name / "plate.obj", plate());
    write(out / "tarn40" / name / "sheet.json", sheet(50));
  }
  const Outcome demo = run({"demo", "--no-pictures", "--out", out.path().string()});
  INFO(demo.err);
  CHECK(demo.code == 0);
  CHECK(has(demo.out, "Straight pipe: 0 not met"));
  CHECK(fs::exists(out / "tarn40/README.md"));
  CHECK(fs::exists(out / "tarn40/generated/engine.step"));
  CHECK(has(demo.out, "Kept, as it may have been changed: " + (out / "tarn40/fitted/job.json").string()));
  CHECK_FALSE(has(demo.out, "Renewed"));
  CHECK_FALSE(has(demo.out, "README.md (it differs"));
}

TEST_CASE("demo again: what an earlier version left is renewed where nobody changed it", "[cli][demo]") {
  const Folder out;
  const fs::path fitted = out / "tarn40/fitted", first_try = out / "tarn40/first-try";
  fs::create_directories(fitted);
  fs::create_directories(first_try);
  // Two jobs as an earlier version copied them; one of the two was changed since.
  const std::string old = R"({ "baywright_job": 1, "no_such_key": 1 })";
  write(out / "tarn40/.copied",
        sha256_hex(old) + " fitted/job.json\n" + sha256_hex(old) + " first-try/job.json\nnot a line\n");
  write(fitted / "job.json", old);
  write(first_try / "job.json", job());
  write(first_try / "plate.obj", plate());
  write(first_try / "sheet.json", sheet(50));
  const Outcome demo = run({"demo", "--no-pictures", "--out", out.path().string()});
  INFO(demo.err << demo.out);
  CHECK(demo.code == 0);
  CHECK(has(demo.out,
            "Renewed, as it was unchanged since an earlier version put it there: " + (fitted / "job.json").string()));
  CHECK(has(demo.out, "Kept, as it may have been changed: " + (first_try / "job.json").string()));
  CHECK(has(demo.out, "Straight pipe: 0 not met"));
  CHECK(contents(first_try / "job.json") == job());
  // Nothing is said when there is nothing to say.
  write(first_try / "job.json", contents(BAYWRIGHT_SOURCE_DIR "/models/tarn40/first-try/job.json"));
  write(first_try / "sheet.json", contents(BAYWRIGHT_SOURCE_DIR "/models/tarn40/sheet.json"));
  const Outcome again = run({"demo", "--no-pictures", "--out", out.path().string()});
  CHECK(again.code == 0);
  CHECK_FALSE(has(again.out, "Kept"));
  CHECK_FALSE(has(again.out, "Renewed"));
}

TEST_CASE("demo of the installed program, from elsewhere: makes what is missing, checks all jobs", "[cli][demo]") {
  const Installed installed;
  // As if this maker had been here before and a file of it was deleted since.
  const Folder out;
  const fs::path generated = out / "tarn40/generated";
  fs::create_directories(generated);
  write(generated / "made-by", sha256_hex(contents(installed.maker())) + "\nengine.step\n");
  const Outcome demo = run_in(out.path(), installed.program(), {"demo", "--no-pictures", "--out", "."});
  INFO(demo.err);
  CHECK(demo.code == 0);
  CHECK(has(demo.out, "Making the demo's"));
  CHECK(fs::exists(generated / "engine.step"));
  CHECK(has(contents(generated / "made-by"), "\nbay-scan.ply\n"));
  for (const char* name : {"as-found", "first-try", "fitted"}) {
    CHECK(fs::exists(out / ("reports/" + std::string(name) + "/report.html")));
    CHECK(fs::exists(out / ("reports/" + std::string(name) + "/findings.json")));
  }
  // Opened again, from the cache, and anew: STEP files, scans and all.
  CHECK(names_in(out / "tarn40/fitted/.baywright-cache").size() ==
        28);  // 26 parts, the tag, and the sums of known hashes
  const std::string fitted = (out / "tarn40/fitted").string();
  for (const std::vector<std::string>& more : {std::vector<std::string>{}, {"--no-cache"}}) {
    std::vector<std::string> arguments = {"check", fitted, "--no-pictures", "--out", (out / "again").string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    run_in(out.path(), installed.program(), arguments);
    for (const char* file : {"findings.json", "report.html"}) {
      CHECK((contents(out / "again" / file) == contents(out / "reports/fitted" / file)));
    }
  }
  const JobFolder made;
  const Outcome check = run_in(made.folder.path(), installed.program(), {"check", ".", "--out", "results"});
  INFO(check.err);
  CHECK(check.code == 0);
  CHECK(fs::exists(made.folder / "results/report.html"));
}

TEST_CASE("the installed programs name no folder of the build or the source", "[cli]") {
  const Installed installed;
  for (const fs::path& program : installed.programs()) {
    INFO(program);
    const std::string bytes = contents(program);
    CHECK(bytes.size() > 1000);
    CHECK_FALSE(has(bytes, BAYWRIGHT_BINARY_DIR));
    // A contract names the source file it stands in, for the report of a mistake; nothing is read from there.
    const std::string source = std::string(BAYWRIGHT_SOURCE_DIR);
    for (auto at = bytes.find(source); at != std::string::npos; at = bytes.find(source, at + 1)) {
      const std::string named(bytes.c_str() + at);
      INFO(named);
      CHECK((named.ends_with(".cpp") || named.ends_with(".hpp")));
    }
  }
}
