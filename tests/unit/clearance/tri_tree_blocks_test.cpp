#include "geometry/clearance/tri_tree_blocks.hpp"

#include <cstring>

#include <catch2/catch.hpp>

#include "geometry/clearance/tri_tree_impl.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;
const BlockLabel kLabel{"BWTEST", 1, std::string(64, '0')};

Result<TriTree> through_bytes(const TriTree& tree, std::size_t sources) {
  BlockWriter out;
  add_blocks(out, tree);
  std::string bytes;
  for (const std::string_view piece : out.pieces(kLabel)) bytes += piece;
  const auto in = BlockFile::over(std::move(bytes), kLabel);
  REQUIRE(in.has_value());
  return read_tree_blocks(*in, sources);
}

void check_same(const TriTree& a, const TriTree& b) {
  const Impl &s = *a.impl(), &t = *b.impl();
  CHECK(s.origin == t.origin);
  CHECK(test::same_bytes(s.nodes, t.nodes));
  CHECK(test::same_bytes(s.corner, t.corner));
  CHECK(test::same_bytes(s.source, t.source));
  CHECK(test::same_bytes(s.where, t.where));
  CHECK(test::same_bytes(s.vertices, t.vertices));
  CHECK(test::same_bytes(s.radius, t.radius));
  CHECK(test::same_bytes(s.clusters, t.clusters));
  CHECK(test::same_bytes(s.groups, t.groups));
  CHECK(s.extent_mm == t.extent_mm);
  CHECK(a.dropped_count() == b.dropped_count());
  CHECK(a.report().long_ones == b.report().long_ones);
  if (!a.empty()) CHECK((a.bounds().lo == b.bounds().lo && a.bounds().hi == b.bounds().hi));
}

/// A tree of some levels, with a triangle left out and one in slabs.
TriMesh scene() {
  test::Random random(5);
  TriMesh mesh = test::strewn(random, 3000, 300, 8);
  test::add_triangle(mesh, {std::nan(""), 0, 0}, {1, 0, 0}, {0, 1, 0});
  test::add_triangle(mesh, {0, 0, 0}, {900, 0, 0}, {0, 1, 0});
  return mesh;
}

}  // namespace

TEST_CASE("a stored tree is the same to the last bit", "[blocks]") {
  check_same(*through_bytes(TriTree(), 0), TriTree());
  const TriMesh mesh = scene();
  const TriTree tree = TriTree::over(mesh);
  const auto again = through_bytes(tree, mesh.triangles.size());
  REQUIRE(again.has_value());
  check_same(*again, tree);
  PointCloud cloud;
  cloud.origin_mm = Vec3(4.5e8, -5.4e9, 120);
  test::Random random(6);
  for (int i = 0; i < 500; ++i) cloud.points.push_back(random.point(300).cast<float>());
  const TriTree balls = TriTree::over(cloud, std::vector<float>(500, 2.5F));
  const auto balls_again = through_bytes(balls, 500);
  REQUIRE(balls_again.has_value());
  check_same(*balls_again, balls);
}

TEST_CASE("a stored tree that would lead a search astray is refused, whatever its checksums say", "[blocks]") {
  const TriMesh mesh = scene();
  const std::size_t sources = mesh.triangles.size();
  const Impl good = *TriTree::over(mesh).impl();
  REQUIRE(good.nodes.size() > 20);
  Impl bad = good;
  const auto refused = [&](const char* what) {
    INFO(what);
    const auto read = through_bytes(TriTree::of(std::make_shared<const Impl>(bad)), sources);
    CHECK_FALSE(read.has_value());
    if (!read) CHECK(read.error().code == ErrorCode::file_damaged);
    bad = good;
  };
  const auto child_of_kind = [&](bool is_leaf) -> std::uint32_t& {
    for (auto& node : bad.nodes) {
      for (auto& code : node.child) {
        if (code != Impl::kNone && Impl::is_leaf(code) == is_leaf) return code;
      }
    }
    throw std::logic_error("no such child");
  };
  REQUIRE(through_bytes(TriTree::of(std::make_shared<const Impl>(bad)), sources).has_value());
  child_of_kind(false) = static_cast<std::uint32_t>(good.nodes.size());
  refused("a node that is not there");
  child_of_kind(false) = 0;
  refused("a circle to the root");
  child_of_kind(false) = static_cast<std::uint32_t>(good.nodes.size() - 1);
  refused("two ways to one node");
  child_of_kind(true) = Impl::kNone;
  refused("references nothing leads to");
  child_of_kind(true) = Impl::kLeafBit | 7U << 28 | static_cast<std::uint32_t>(good.source.size() - 3);
  refused("a leaf beyond the references");
  bad.corner.back()[1] = static_cast<std::uint32_t>(good.vertices.size());
  refused("a corner that is not there");
  bad.source.front() = static_cast<std::uint32_t>(sources);
  refused("a triangle that is not there");
  bad.where.front() = static_cast<std::uint32_t>(good.source.size());
  refused("a place that is not there");
  bad.where.pop_back();
  refused("too few places");
  bad.source.push_back(0);
  refused("too many references");
  bad.clusters.pop_back();
  refused("too few clusters");
  bad.groups.clear();
  refused("too few groups");
  bad.radius.resize(3);
  refused("too few radii");
  bad.nodes.clear();
  refused("references without nodes");
  const auto read = through_bytes(TriTree::over(mesh), sources + 1);
  CHECK_FALSE(read.has_value());

  // A chain of nodes deeper than the stack of a search.
  Impl chain;
  chain.nodes.resize(200);
  for (std::size_t i = 0; i < chain.nodes.size(); ++i) {
    std::fill(std::begin(chain.nodes[i].child), std::end(chain.nodes[i].child), Impl::kNone);
    chain.nodes[i].child[0] = static_cast<std::uint32_t>(i + 1);
  }
  chain.nodes.back().child[0] = Impl::kLeafBit;
  chain.corner.resize(1);
  chain.source.resize(1);
  chain.where.resize(1);
  chain.vertices.resize(1);
  bad = chain;
  CHECK_FALSE(through_bytes(TriTree::of(std::make_shared<const Impl>(bad)), 1).has_value());
}

}  // namespace baywright
