#include "session/job_document.hpp"

#include <catch2/catch.hpp>

#include <sys/stat.h>

#include "job/job_file.hpp"
#include "job/job_text.hpp"
#include "tests/support/plain_job.hpp"

using namespace baywright;
using namespace baywright::session;

namespace {

class DocumentFolder : public test::JobFolder {
 public:
  explicit DocumentFolder(const std::string& name) : test::JobFolder("job_document_test", name) {}
  std::string text(const std::string& name = "job.json") const { return *read_file(path / name); }
};

const duct::DuctId kMain("main");

MovePoint move(const char* point, const Vec3& to) { return {kMain, duct::PointId(point), to}; }

JobDocument document(const DocumentFolder& folder) {
  auto made = JobDocument::open(test::opened(folder));
  REQUIRE(made);
  return std::move(*made);
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("A job that is saved unchanged stays as it was typed", "[document]") {
  const DocumentFolder folder("unchanged");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  CHECK_FALSE(doc.unsaved());
  REQUIRE(doc.save());
  CHECK(folder.text() == test::kPlainJob);
}

TEST_CASE("Saving writes the numbers that differ and nothing else", "[document]") {
  const DocumentFolder folder("numbers");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  REQUIRE(doc.apply(move("P2", Vec3(410.5, 200, -30))));
  CHECK(doc.unsaved());
  REQUIRE(doc.save());
  CHECK_FALSE(doc.unsaved());
  std::string expected = replaced(test::kPlainJob, "[400, 200, 0e0]", "[410.5, 200, -30]");
  CHECK(folder.text() == expected);
  REQUIRE(doc.apply(move("P1", Vec3(260, 0, 0))));
  REQUIRE(doc.apply(SetBendRadius{kMain, duct::PointId("P3"), 85}));
  REQUIRE(doc.save());
  expected = replaced(replaced(expected, "\"10 in\"", "260"), "9.0e1", "85");
  CHECK(folder.text() == expected);
  const auto read = job::read_job(folder.text(), "job.json");
  REQUIRE(read);
  CHECK(*read == doc.job());
}

TEST_CASE("What is not a value of the route is not written in place", "[document]") {
  const auto read = job::read_job(test::kPlainJob, "job.json");
  REQUIRE(read);
  job::Job to = *read;
  to.name = "other";
  const auto text = job::with_route_values(test::kPlainJob, *read, to);
  REQUIRE_FALSE(text);
  CHECK(text.error().code == ErrorCode::not_supported);
  job::Job longer = *read;
  longer.ducts[0].route.points.pop_back();
  CHECK_FALSE(job::with_route_values(test::kPlainJob, *read, longer));
}

TEST_CASE("A whole route and the places of fittings are written into the text, all else stays", "[document]") {
  const std::string text =
      replaced(test::kPlainJob, R"("sensor": "none", "breather": "none",)",
               R"("sensor": "none", "breather": "none", "fittings": [ {"kind": "restriction tap", "id":"tap",
         "at": {"leg":"P0" , "offset_mm": "1 in"}} ],)");
  const auto read = job::read_job(text, "job.json");
  REQUIRE(read);
  job::Job to = *read;
  auto& points = to.ducts[0].route.points;
  points.erase(points.begin() + 1);
  points[1].p_mm = {412.25, -30.01, 1e-3};
  to.ducts[0].fittings[0].anchor = {duct::PointId("P2"), 12.5, true};
  const auto out = job::with_routes(text, *read, to);
  REQUIRE(out);
  const auto again = job::read_job(*out, "job.json");
  REQUIRE(again);
  CHECK(*again == to);
  // Before the fittings, and behind the route, not a byte differs.
  const auto ahead = text.find("\"at\": {\"leg\"");
  CHECK(out->substr(0, ahead) == text.substr(0, ahead));
  const auto behind = text.find("\"sheet\"");
  CHECK(out->substr(out->find("\"sheet\"")) == text.substr(behind));
  CHECK(out->find("\"kind\": \"restriction tap\", \"id\":\"tap\"") != std::string::npos);
  to.name = "other";
  CHECK_FALSE(job::with_routes(text, *read, to));  // more than that differs
}

TEST_CASE("Another tube and a fitting that is new are written into the text, all else stays", "[document]") {
  duct::Fitting joint;
  joint.id = duct::FittingId("joint");
  joint.anchor = {duct::PointId("P0"), 30, false};
  duct::Coupler hose;
  hose.shape = duct::CouplerShape::hump;
  hose.gap_mm = 20;
  hose.length_mm = 110;
  joint.kind = hose;
  const std::string none = R"("sensor": "none", "breather": "none",)";
  const std::string empty = none + R"( "fittings": [],)";
  const std::string cone = none + R"( "fittings": [ {"kind": "reducer", "id": "cone", "at": {"leg": "P0",
     "offset_mm": 5}, "length_mm": 20, "to": {"outer_diameter_mm": 63.5, "wall_mm": 3}} ],)";
  for (const std::string& fittings : {none, empty, cone}) {
    CAPTURE(fittings);
    const std::string text = replaced(test::kPlainJob, none, fittings);
    const auto read = job::read_job(text, "job.json");
    REQUIRE(read);
    job::Job to = *read;
    to.ducts[0].tube = {60, 2};
    if (!to.ducts[0].fittings.empty()) std::get<duct::Reducer>(to.ducts[0].fittings[0].kind).to = {50, 2};
    to.ducts[0].fittings.push_back(joint);
    const auto out = job::with_routes(text, *read, to);
    REQUIRE(out);
    const auto again = job::read_job(*out, "job.json");
    REQUIRE(again);
    CHECK(*again == to);
    CHECK(out->substr(out->find("\"sheet\"")) == text.substr(text.find("\"sheet\"")));
    job::Job fewer = to;
    fewer.ducts[0].service = duct::Service::raw_air;
    CHECK_FALSE(job::with_routes(text, *read, fewer));  // more than that differs
  }
}

TEST_CASE("Keys written with escapes are left alone, with a reason", "[document]") {
  const std::string escaped = replaced(test::kPlainJob, "\"route\": [\n", "\"rou\\u0074e\": [\n");
  const auto read = job::read_job(escaped, "job.json");
  REQUIRE(read);
  job::Job to = *read;
  to.ducts[0].route.points[2].p_mm.x() += 1;
  const auto text = job::with_route_values(escaped, *read, to);
  REQUIRE_FALSE(text);
  CHECK(text.error().code == ErrorCode::not_supported);
}

TEST_CASE("A value no job may have is refused at once, not at saving", "[document]") {
  const DocumentFolder folder("impossible");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  CHECK_FALSE(doc.apply(move("P2", Vec3(1e9, 0, 0))));
  CHECK_FALSE(doc.apply(SetBendRadius{kMain, duct::PointId("P2"), -5}));
  CHECK_FALSE(doc.unsaved());
  CHECK_FALSE(doc.history().can_undo());
}

TEST_CASE("Undone to the start nothing is unsaved; redo brings the change back", "[document]") {
  const DocumentFolder folder("undo");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  REQUIRE(doc.apply(move("P2", Vec3(410, 210, 0))));
  CHECK(doc.undo() == std::set<std::string>{"main"});
  CHECK_FALSE(doc.unsaved());
  doc.redo();
  CHECK(doc.unsaved());
  REQUIRE(doc.save());
  doc.undo();  // beyond the save: the file now has what was undone
  CHECK(doc.unsaved());
  REQUIRE(doc.save());
  // The number was written twice since: equal, no longer as it was typed.
  CHECK(folder.text() == replaced(test::kPlainJob, "[400, 200, 0e0]", "[400, 200, 0e0]"));
}

TEST_CASE("A file that somebody else wrote is not written over unasked", "[document]") {
  const DocumentFolder folder("others");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  REQUIRE(doc.apply(move("P2", Vec3(410, 210, 0))));
  CHECK_FALSE(doc.changed_on_disk());
  const std::string other = replaced(test::kPlainJob, "\"default\"", "\"default\"   ");
  folder.put("job.json", other);
  CHECK(doc.changed_on_disk());
  const auto saved = doc.save();
  REQUIRE_FALSE(saved);
  CHECK(saved.error().code == ErrorCode::bad_value);
  CHECK(folder.text() == other);
  REQUIRE(doc.save(true));
  CHECK(folder.text() == replaced(test::kPlainJob, "[400, 200, 0e0]", "[410, 210, 0e0]"));
  std::filesystem::remove(folder.path / "job.json");
  CHECK(doc.changed_on_disk());
}

TEST_CASE("A job changed while it was being opened is no document", "[document]") {
  const DocumentFolder folder("meanwhile");
  test::put_plain_job(folder);
  const auto installation = test::opened(folder);
  folder.put("job.json", replaced(test::kPlainJob, "90}", "91}"));
  CHECK_FALSE(JobDocument::open(installation));
  std::filesystem::remove(folder.path / "job.json");
  const auto gone = JobDocument::open(installation);
  REQUIRE_FALSE(gone);
  CHECK(gone.error().code == ErrorCode::file_missing);
}

TEST_CASE("Unsaved changes are kept beside the job and taken over by the next session", "[document]") {
  const DocumentFolder folder("kept");
  test::put_plain_job(folder);
  {
    JobDocument doc = document(folder);
    CHECK_FALSE(doc.left_unsaved());
    REQUIRE(doc.apply(move("P2", Vec3(410, 210, 5))));
    REQUIRE(doc.keep_unsaved());
  }
  CHECK(folder.text() == test::kPlainJob);
  JobDocument next = document(folder);
  const auto left = next.left_unsaved();
  REQUIRE(left);
  REQUIRE(left->job);
  const auto changed = next.take_over(*left->job);
  REQUIRE(changed);
  CHECK(*changed == std::set<std::string>{"main"});
  CHECK(next.job().ducts[0].route.points[2].p_mm == Vec3(410, 210, 5));
  CHECK(next.unsaved());
  next.undo();
  CHECK_FALSE(next.unsaved());
  next.redo();
  REQUIRE(next.save());
  CHECK_FALSE(std::filesystem::exists(left->file));
  CHECK_FALSE(next.left_unsaved());
}

TEST_CASE("Kept changes that no longer fit the job stay where they are", "[document]") {
  const DocumentFolder folder("unfit");
  test::put_plain_job(folder);
  {
    JobDocument doc = document(folder);
    REQUIRE(doc.apply(move("P2", Vec3(410, 210, 5))));
    REQUIRE(doc.keep_unsaved());
  }
  folder.put("job.json", replaced(test::kPlainJob, "\"wall_mm\": 2", "\"wall_mm\": 1.5"));
  JobDocument next = document(folder);
  const auto left = next.left_unsaved();
  REQUIRE(left);
  REQUIRE(left->job);
  const auto taken = next.take_over(*left->job);
  REQUIRE_FALSE(taken);
  CHECK(taken.error().code == ErrorCode::not_supported);
  CHECK_FALSE(next.unsaved());
  CHECK(std::filesystem::exists(left->file));
  next.drop_unsaved();
  CHECK_FALSE(next.left_unsaved());
  folder.put("job.json.unsaved", "{ cut");
  const auto damaged = next.left_unsaved();
  REQUIRE(damaged);
  CHECK_FALSE(damaged->job);
}

TEST_CASE("Changes undone again leave no copy behind", "[document]") {
  const DocumentFolder folder("no-copy");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  REQUIRE(doc.apply(move("P2", Vec3(410, 210, 5))));
  REQUIRE(doc.keep_unsaved());
  CHECK(std::filesystem::exists(folder.path / "job.json.unsaved"));
  doc.undo();
  REQUIRE(doc.keep_unsaved());
  CHECK_FALSE(std::filesystem::exists(folder.path / "job.json.unsaved"));
}

TEST_CASE("A folder that cannot be written says so, and the change is not lost", "[document]") {
  const DocumentFolder folder("locked");
  test::put_plain_job(folder);
  JobDocument doc = document(folder);
  REQUIRE(doc.apply(move("P2", Vec3(410, 210, 5))));
  // A folder in the file's place fails for every user, root included.
  std::filesystem::create_directories(folder.path / "job.json.unsaved" / "in the way");
  CHECK_FALSE(doc.keep_unsaved());
  std::filesystem::remove(folder.path / "job.json");
  std::filesystem::create_directories(folder.path / "job.json" / "in the way");
  const auto saved = doc.save(true);
  REQUIRE_FALSE(saved);
  CHECK(saved.error().code == ErrorCode::not_written);
  CHECK(doc.unsaved());
}
