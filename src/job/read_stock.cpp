#include <algorithm>
#include <set>
#include <string_view>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "job/job_fields.hpp"
#include "job/job_file.hpp"
#include "job/job_problems.hpp"
#include "job/one_error.hpp"
#include "job/stock_file.hpp"

namespace baywright::job {
namespace {

constexpr const char* kStockKey = "baywright_stock";
constexpr int kStockVersion = 1;
constexpr const char* kStockVersionDoc = "Version of the format.";

}  // namespace

template <class V>
void describe(V& v, Of<duct::StockTube>) {
  using S = duct::StockTube;
  v.required("id", &S::id, IdCodec<duct::StockTubeTag>(), "Id of the tube.");
  v.optional("name", &S::name, TextCodec(), "Name in reports.");
  v.required("tube", &S::size, object<duct::TubeSize>(), "Its size.");
  v.required("bend_radii_mm", &S::bend_radii_mm, list_of(length(size()), 1, 20),
             "Radii of the centreline it can be bent at, the one that is preferred first.");
  v.required("least_straight_mm", &S::least_straight_mm, length(size_or_none()),
             "Straight between two bends, at least: what the bender grips.");
  v.optional("end_straight_mm", &S::end_straight_mm, length(size_or_none()),
             "Straight between a bend and an end of the tube, at least.");
  v.optional("angle_step_deg", &S::angle_step, angle(at_least(0, 90)),
             "Bends are multiples of it; 0: of any angle. Of stock bends: what they can be cut to.");
  v.required("source", &S::source, TextCodec{true}, "Where the figures come from.");
}

template <class V>
void describe(V& v, Of<duct::StockCoupler>) {
  using S = duct::StockCoupler;
  v.required("id", &S::id, IdCodec<duct::StockCouplerTag>(), "Id of the coupler, and of the fitting it becomes.");
  v.optional("name", &S::name, TextCodec(), "Name in reports.");
  v.required("for_outer_diameter_mm", &S::for_outer_diameter_mm, length(size()), "Of the tubes it goes on.");
  v.required("coupler", &S::coupler, object<duct::Coupler>(), "The coupler, with the keys it has in a job.");
  v.required("source", &S::source, TextCodec{true}, "Where the figures come from.");
}

template <class V>
void describe(V& v, Of<duct::StockBracket>) {
  using S = duct::StockBracket;
  v.required("id", &S::id, IdCodec<duct::StockBracketTag>(), "Id of the bracket, and of the fitting it becomes.");
  v.optional("name", &S::name, TextCodec(), "Name in reports.");
  v.required("for_outer_diameter_mm", &S::for_outer_diameter_mm, length(size()), "Of the tubes it clasps.");
  v.required("source", &S::source, TextCodec{true}, "Where the figures come from.");
}

template <class V>
void describe(V& v, Of<duct::Stock>) {
  using S = duct::Stock;
  v.required("tubes", &S::tubes, list_of(object<duct::StockTube>(), 1, 50), "Tubes that can be bought and bent.");
  v.optional("couplers", &S::couplers, list_of(object<duct::StockCoupler>(), 0, 200), "Soft joints.");
  v.optional("brackets", &S::brackets, list_of(object<duct::StockBracket>(), 0, 50), "What holds tubes to a body.");
}

namespace {

class StockProblems {
 public:
  StockProblems(const duct::Stock& stock, const Node& root, Problems& problems)
      : stock_(stock), root_(root), problems_(problems) {}

  void look(const catalog::Workshop& workshop) {
    doubles(stock_.tubes, "/tubes");
    doubles(stock_.couplers, "/couplers");
    doubles(stock_.brackets, "/brackets");
    for (std::size_t i = 0; i < stock_.tubes.size(); ++i) tube(stock_.tubes[i], "/tubes/" + std::to_string(i));
    for (std::size_t i = 0; i < stock_.couplers.size(); ++i) {
      coupler(stock_.couplers[i].coupler, "/couplers/" + std::to_string(i) + "/coupler");
    }
    unknown_rows(workshop);
  }

 private:
  void complain(const std::string& pointer, std::string message) {
    if (!problems_.touches(pointer)) problems_.add(pointer, line_of(root_, pointer), std::move(message));
  }

  template <class Row>
  void doubles(const std::vector<Row>& rows, const std::string& list) {
    std::set<std::string> seen;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i].id.empty() || seen.insert(rows[i].id.value).second) continue;
      complain(list + "/" + std::to_string(i) + "/id",
               "\"" + rows[i].id.value + "\" is there twice; give each row an id of its own");
    }
  }

  void tube(const duct::StockTube& tube, const std::string& at) {
    if (tube.size.bore_mm() <= 0)
      complain(at + "/tube/wall_mm", "leaves no bore; give the wall of one side, below half the outer diameter");
    std::set<double> seen;
    for (std::size_t k = 0; k < tube.bend_radii_mm.size(); ++k) {
      const double radius = tube.bend_radii_mm[k];
      const std::string here = at + "/bend_radii_mm/" + std::to_string(k);
      if (radius <= 0.5 * tube.size.outer_diameter_mm) {
        complain(here, "is not above half the outer diameter; give the radius of the centreline");
      }
      if (!seen.insert(radius).second) complain(here, "is there twice; name each radius once");
    }
  }

  void coupler(const duct::Coupler& coupler, const std::string& at) {
    if (coupler.shape != duct::CouplerShape::straight && coupler.shape != duct::CouplerShape::hump) {
      complain(at + "/shape", "is not searched with; only straight and hump couplers are put on a duct");
    }
    if (coupler.length_mm <= coupler.gap_mm) {
      complain(at + "/length_mm", "is not longer than its gap; give the length of the whole hose");
    }
    if (coupler.axial_mm <= 0 || coupler.lateral_mm <= 0) {
      complain(at, "takes no movement; give axial_mm and lateral_mm, or leave this row out");
    }
  }

  /// Clamps and materials that the workshop has not, found as in a job.
  void unknown_rows(const catalog::Workshop& workshop) {
    Job job;
    job.ducts.emplace_back();
    for (const duct::StockCoupler& row : stock_.couplers) {
      duct::Fitting fitting;
      fitting.kind = row.coupler;
      job.ducts.front().fittings.push_back(fitting);
    }
    constexpr std::string_view kInJob = "/ducts/0/fittings/";
    for (const JobProblem& problem : not_in_workshop(job, workshop)) {
      const std::string rest = problem.pointer.substr(kInJob.size());
      const std::size_t slash = std::min(rest.find('/'), rest.size());
      complain("/couplers/" + rest.substr(0, slash) + "/coupler" + rest.substr(slash), problem.message);
    }
  }

  const duct::Stock& stock_;
  const Node& root_;
  Problems& problems_;
};

}  // namespace

ResultAll<duct::Stock> read_stock(const std::string& text, const std::string& file_name,
                                  const catalog::Workshop& workshop) {
  const auto root = parse_json(text, file_name);
  if (!root) return tl::unexpected(root.error());
  Problems problems(file_name);
  const At top{&problems, ""};
  duct::Stock stock;
  if (root->kind != Node::Kind::object) {
    top.wrong(*root, "is " + shown(*root) + "; expected an object { ... }");
  } else if (read_version(*root, kStockKey, kStockVersion, top)) {
    KeyCheck keys(*root, top);
    keys.take(kStockKey);
    ObjectReader<duct::Stock> reader(keys, stock);
    describe(reader, Of<duct::Stock>());
    keys.finish();
    StockProblems(stock, *root, problems).look(workshop);
  }
  if (problems.any()) return tl::unexpected(problems.take());
  return stock;
}

ResultAll<duct::Stock> open_stock(const std::filesystem::path& file, const catalog::Workshop& workshop) {
  const auto text = read_file(file, kLargestText);
  if (!text) {
    Error error = text.error();
    if (error.code == ErrorCode::file_missing)
      error.message += "; docs/stock-file.md says what a stock file holds, models/stock/example.json is one to change";
    return only(std::move(error));
  }
  return read_stock(*text, file.filename().string(), workshop);
}

std::string write_stock(const duct::Stock& stock) {
  Node root = Node::object();
  root.put(kStockKey, Node::of(kStockVersion));
  ObjectWriter<duct::Stock> writer(root, stock);
  describe(writer, Of<duct::Stock>());
  return to_json(root);
}

std::string stock_schema() {
  ObjectShape shape;
  Node version = Node::object();
  version.put("description", Node::of(kStockVersionDoc));
  version.put("const", Node::of(kStockVersion));
  shape.properties.push_back({kStockKey, std::move(version)});
  shape.required.emplace_back(kStockKey);
  ObjectSchema<duct::Stock> visitor(shape);
  describe(visitor, Of<duct::Stock>());
  Node schema = Node::object();
  schema.put("$schema", Node::of("https://json-schema.org/draft/2020-12/schema"));
  schema.put("title", Node::of("Baywright stock"));
  for (Node::Member& member : shape.schema().members) schema.members.push_back(std::move(member));
  return to_json(schema);
}

}  // namespace baywright::job
