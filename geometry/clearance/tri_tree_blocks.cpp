#include "geometry/clearance/tri_tree_blocks.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <tuple>

#include "geometry/clearance/tri_tree_impl.hpp"
#include "geometry/shape_blocks.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;
using Bits = std::uint64_t;

/// Numbers of a tree beside its arrays, in this order.
constexpr std::size_t kFacts = 3 + 3 + 3 + 1 + 6;

std::array<Bits, kFacts> facts_of(const Impl& tree) {
  std::array<Bits, kFacts> out{};
  auto at = out.begin();
  const auto put = [&at](double v) { *at++ = std::bit_cast<Bits>(v); };
  for (const Vec3& v : {tree.origin, tree.box.lo, tree.box.hi}) {
    for (int k = 0; k < 3; ++k) put(v[k]);
  }
  put(tree.extent_mm);
  const TriTree::Report& r = tree.report;
  for (const std::size_t count : {r.kept, r.not_finite, r.too_far, r.points, r.segments, r.long_ones}) *at++ = count;
  return out;
}

void take_facts(const std::array<Bits, kFacts>& facts, Impl& tree) {
  auto at = facts.begin();
  for (Vec3* v : {&tree.origin, &tree.box.lo, &tree.box.hi}) {
    for (int k = 0; k < 3; ++k) (*v)[k] = std::bit_cast<double>(*at++);
  }
  tree.extent_mm = std::bit_cast<double>(*at++);
  TriTree::Report& r = tree.report;
  for (std::size_t* count : {&r.kept, &r.not_finite, &r.too_far, &r.points, &r.segments, &r.long_ones}) *count = *at++;
}

/// Whether the nodes are one tree from the root down over all references, not too deep for a search.
bool is_one_tree(const std::vector<Impl::Node>& nodes, std::size_t references) {
  if (nodes.empty()) return references == 0;
  std::vector<std::uint8_t> level(nodes.size(), 0);  // 0: nothing leads there yet
  level[0] = 1;
  std::size_t covered = 0;
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    if (level[i] == 0 || 7 * level[i] + 1 > Impl::kStack) return false;
    for (const std::uint32_t code : nodes[i].child) {
      if (code == Impl::kNone) continue;
      if (Impl::is_leaf(code)) {
        const std::size_t end = std::size_t{Impl::leaf_begin(code)} + Impl::leaf_count(code);
        if (end > references) return false;
        covered += Impl::leaf_count(code);
      } else {
        if (code <= i || code >= nodes.size() || level[code] != 0) return false;  // children come after their parent
        level[code] = static_cast<std::uint8_t>(level[i] + 1);
      }
    }
  }
  return covered == references;
}
static_assert(Impl::kStack / 7 < 255);

}  // namespace

void add_blocks(BlockWriter& out, const TriTree& tree) {
  const Impl& t = *tree.impl();
  // Every member is here: one that is new does not compile before it is stored.
  const auto& [origin, nodes, corner, source, where, vertices, radius, clusters, groups, report, box, extent_mm] = t;
  static_cast<void>(std::tie(origin, report, box, extent_mm));  // in facts_of()
  out.add_item("tree", facts_of(t));
  out.add("tree.nodes", nodes);
  out.add("tree.corner", corner);
  out.add("tree.source", source);
  out.add("tree.where", where);
  out.add("tree.vertices", vertices);
  out.add("tree.radius", radius);
  out.add("tree.clusters", clusters);
  out.add("tree.groups", groups);
}

Result<TriTree> read_tree_blocks(const BlockFile& in, std::size_t sources) {
  auto tree = std::make_shared<Impl>();
  const auto facts = in.item<std::array<Bits, kFacts>>("tree");
  if (!facts) return tl::unexpected(facts.error());
  take_facts(*facts, *tree);
  const std::size_t references = in.count("tree.corner"), vertices = in.count("tree.vertices");
  const std::size_t clusters = (references + Impl::Cluster::kSize - 1) / Impl::Cluster::kSize;
  const std::size_t groups = (in.count("tree.clusters") + Impl::Cluster::kGroup - 1) / Impl::Cluster::kGroup;
  const auto counts = [&in](const char* name, std::initializer_list<std::size_t> possible) {
    return std::find(possible.begin(), possible.end(), in.count(name)) != possible.end();
  };
  if (!counts("tree.source", {references}) || !counts("tree.where", {sources}) ||
      !counts("tree.radius", {0, vertices}) || !counts("tree.clusters", {0, clusters}) ||
      !counts("tree.groups", {groups})) {
    return BlockFile::damaged("tree", "has arrays that do not match");
  }
  using Corner = std::array<std::uint32_t, 3>;
  const BlockFile::Check<Corner> is_vertex = [=](const Corner* c, std::size_t n) {
    return all_below(c->data(), 3 * n, vertices);
  };
  const BlockFile::Check<std::uint32_t> is_source = [=](const std::uint32_t* s, std::size_t n) {
    return all_below(s, n, sources);
  };
  const BlockFile::Check<std::uint32_t> is_place = [=](const std::uint32_t* w, std::size_t n) {
    std::uint32_t greatest = 0;  // kNone, and then 0, stands for "left out"
    for (std::size_t i = 0; i < n; ++i) greatest = std::max(greatest, w[i] + 1);
    return greatest <= references;
  };
  for (const auto& done :
       {in.read("tree.nodes", tree->nodes), in.read("tree.corner", tree->corner, is_vertex),
        in.read("tree.source", tree->source, is_source), in.read("tree.where", tree->where, is_place),
        in.read("tree.vertices", tree->vertices), in.read("tree.radius", tree->radius),
        in.read("tree.clusters", tree->clusters), in.read("tree.groups", tree->groups)}) {
    if (!done) return tl::unexpected(done.error());
  }
  if (!is_one_tree(tree->nodes, references)) return BlockFile::damaged("tree.nodes", "is not one tree");
  return TriTree::of(std::move(tree));
}

}  // namespace baywright
