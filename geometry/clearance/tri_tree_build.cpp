// Building a tree: the items' centres are sorted along a Morton curve and cut into cells of some thousand items; every
// cell becomes a tree of its own by the surface-area heuristic, in parallel, and a tree over the cells' boxes joins
// them. The result does not depend on the number of threads: every step works on parts that follow from the input
// alone.
#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>

#include <tbb/blocked_range.h>
#include <tbb/enumerable_thread_specific.h>
#include <tbb/parallel_for.h>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/tri_tree.hpp"
#include "geometry/clearance/tri_tree_cells.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"
#include "geometry/clearance/tri_tree_items.hpp"
#include "geometry/clearance/tri_tree_sah.hpp"
#include "geometry/large_pages.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;

constexpr std::size_t kCellSize = 32'768;  // its boxes fit the second cache
constexpr std::uint32_t kLeafSize = 8;

/// Calls f(i) for i in 0..count, in parallel.
template <class F>
void for_each(std::size_t count, const F& f) {
  tbb::parallel_for(tbb::blocked_range<std::size_t>(0, count, 1), [&](const auto& range) {
    for (std::size_t i = range.begin(); i < range.end(); ++i) f(i);
  });
}

class Assembly {
 public:
  Assembly(Impl& tree, const BuildItems& items) : tree_(tree), items_(items) {}

  void run() {
    tree_.report = items_.report();
    if (items_.count() == 0) return;
    make_cells();
    join();
    const double most = 7.0 * (deepest_sah(cells_.size()) + deepest_sah(kCellSize));
    EXPECTS(most < Impl::kStack);
  }

  /// Where the references of each cell are.
  const std::vector<TreeCell>& cells() const { return cells_; }

 private:
  void make_cells() {
    std::vector<std::uint64_t> keys;
    reserve_large(keys, items_.count());
    items_.list(keys);
    cells_ = cut_into_cells(items_, keys, kCellSize);
    resize_large(tree_.source, keys.size());
    trees_.resize(cells_.size());
    tbb::enumerable_thread_specific<SahScratch> scratch;
    for_each(cells_.size(), [&](std::size_t c) {
      const auto [begin, end] = cells_[c];
      SahScratch& space = scratch.local();
      space.refs.resize(end - begin);
      for (std::size_t i = begin; i < end; ++i) items_.box(static_cast<std::uint32_t>(keys[i]), space.refs[i - begin]);
      const std::span<std::uint32_t> order(tree_.source.data() + begin, end - begin);
      trees_[c] = build_sah(space, kLeafSize, static_cast<std::uint32_t>(begin), order);
      for (auto& item : order) item = items_.source(item);
    });
  }

  /// The tree over the cells, then the cells' trees one after the other.
  void join() {
    SahTree top;
    std::vector<std::uint32_t> cell_of(cells_.size());
    if (cells_.size() == 1) {
      top = std::move(trees_[0]);
    } else {
      SahScratch space;
      for (std::uint32_t c = 0; c < cells_.size(); ++c) {
        BuildRef ref;
        std::copy_n(trees_[c].lo, 3, ref.lo);
        std::copy_n(trees_[c].hi, 3, ref.hi);
        ref.id = c;
        ref.weight = static_cast<std::uint32_t>(cells_[c].end - cells_[c].begin);
        space.refs.push_back(ref);
      }
      top = build_sah(space, 1, 0, cell_of);
    }
    for (int k = 0; k < 3; ++k) {
      tree_.box.lo[k] = static_cast<double>(top.lo[k]);
      tree_.box.hi[k] = static_cast<double>(top.hi[k]);
    }
    tree_.extent_mm = std::max(tree_.box.lo.cwiseAbs().maxCoeff(), tree_.box.hi.cwiseAbs().maxCoeff());
    if (cells_.size() == 1) {
      tree_.nodes = std::move(top.nodes);
      tree_.nodes.shrink_to_fit();
      return;
    }
    std::vector<std::uint32_t> root(cells_.size());
    std::vector<std::size_t> first(cells_.size() + 1, top.nodes.size());
    for (std::size_t c = 0; c < cells_.size(); ++c) {
      root[c] = static_cast<std::uint32_t>(first[c]);
      if (cells_[c].end - cells_[c].begin <= kLeafSize) {  // no node for a single leaf
        root[c] = trees_[c].nodes[0].child[0];
        trees_[c].nodes.clear();
      }
      first[c + 1] = first[c] + trees_[c].nodes.size();
    }
    for (auto& node : top.nodes) {
      for (auto& code : node.child) {
        if (code != Impl::kNone && Impl::is_leaf(code)) code = root[cell_of[Impl::leaf_begin(code)]];
      }
    }
    resize_large(tree_.nodes, first.back());
    std::copy(top.nodes.begin(), top.nodes.end(), tree_.nodes.begin());
    for_each(cells_.size(), [&](std::size_t c) {
      Impl::Node* out = tree_.nodes.data() + first[c];
      for (const Impl::Node& node : trees_[c].nodes) {
        *out = node;
        for (auto& code : out->child) {
          if (!Impl::is_leaf(code)) code += static_cast<std::uint32_t>(first[c]);  // kNone counts as a leaf here
        }
        ++out;
      }
      trees_[c].nodes = {};
    });
  }

  Impl& tree_;
  const BuildItems& items_;
  std::vector<TreeCell> cells_;
  std::vector<SahTree> trees_;
};

/// Corners and vertices, these in order of first use, so that a leaf's corners lie close together in memory.
void number_vertices(Impl& tree, const BuildItems& items, const std::vector<TreeCell>& cells,
                     const std::vector<Vec3f>& vertices, const std::vector<float>* radius) {
  // A vertex belongs to the first cell that uses it, and each cell counts its own.
  std::vector<std::uint32_t> owner, number;
  resize_large(owner, vertices.size(), Impl::kNone);
  resize_large(number, vertices.size(), Impl::kNone);
  const auto corners_of = [&](std::size_t ref) { return items.corners(tree.source[ref]); };
  for_each(cells.size(), [&](std::size_t c) {
    for (std::size_t ref = cells[c].begin; ref < cells[c].end; ++ref) {
      for (const auto v : corners_of(ref)) {
        std::atomic_ref<std::uint32_t> mine(owner[v]);
        std::uint32_t now = mine.load(std::memory_order_relaxed);
        while (c < now && !mine.compare_exchange_weak(now, static_cast<std::uint32_t>(c), std::memory_order_relaxed)) {
        }
      }
    }
  });
  std::vector<std::uint32_t> first(cells.size() + 1, 0);
  for_each(cells.size(), [&](std::size_t c) {
    std::uint32_t count = 0;
    for (std::size_t ref = cells[c].begin; ref < cells[c].end; ++ref) {
      for (const auto v : corners_of(ref)) {
        if (owner[v] == c && number[v] == Impl::kNone) number[v] = count++;
      }
    }
    first[c + 1] = count;
  });
  for (std::size_t c = 0; c < cells.size(); ++c) first[c + 1] += first[c];
  resize_large(tree.corner, tree.source.size());
  resize_large(tree.vertices, first.back());
  if (radius) tree.radius.resize(first.back());
  for_each(cells.size(), [&](std::size_t c) {
    for (std::size_t ref = cells[c].begin; ref < cells[c].end; ++ref) {
      const TriMesh::Triangle from = corners_of(ref);
      for (std::size_t k = 0; k < 3; ++k) {
        const std::uint32_t to = first[owner[from[k]]] + number[from[k]];
        tree.corner[ref][k] = to;
        if (owner[from[k]] != c) continue;
        tree.vertices[to] = vertices[from[k]];
        if (radius) tree.radius[to] = (*radius)[from[k]];
      }
    }
  });
}

/// One reference of each triangle: the first, where there are several.
void note_where(Impl& tree, std::size_t sources, const std::vector<TreeCell>& cells) {
  resize_large(tree.where, sources, Impl::kNone);
  for_each(cells.size(), [&](std::size_t c) {
    for (std::size_t ref = cells[c].begin; ref < cells[c].end; ++ref) {
      std::atomic_ref<std::uint32_t> place(tree.where[tree.source[ref]]);
      std::uint32_t now = place.load(std::memory_order_relaxed);
      while (ref < now &&
             !place.compare_exchange_weak(now, static_cast<std::uint32_t>(ref), std::memory_order_relaxed)) {
      }
    }
  });
}

Impl::Cluster cluster_of(const Impl& tree, std::uint32_t begin, std::uint32_t end) {
  Vec3 area = Vec3::Zero(), moment = Vec3::Zero();
  double weight = 0;
  Aabb box;
  for (std::uint32_t ref = begin; ref < end; ++ref) {
    if (!tree.counts(ref)) continue;
    const Vec3 a = tree.vertex(ref, 0), b = tree.vertex(ref, 1), c = tree.vertex(ref, 2);
    const Vec3 n = 0.5 * (b - a).cross(c - a);
    area += n;
    moment += n.norm() / 3.0 * (a + b + c);
    weight += n.norm();
    for (const Vec3& v : {a, b, c}) box.grow(v);
  }
  if (box.empty()) return {};
  const Vec3 center = weight > 0 ? Vec3(moment / weight) : box.center();
  const Vec3 reach = (box.hi - center).cwiseAbs().cwiseMax((center - box.lo).cwiseAbs());
  return {area.cast<float>(), center.cast<float>(), static_cast<float>(reach.norm())};
}

void add_clusters(Impl& tree) {
  const auto count = static_cast<std::uint32_t>(tree.source.size());
  const auto add = [&](std::uint32_t size, std::size_t together, std::vector<Impl::Cluster>& out) {
    out.resize((count + size - 1) / size);
    for_each((out.size() + together - 1) / together, [&](std::size_t block) {
      const std::size_t last = std::min(out.size(), (block + 1) * together);
      for (std::size_t i = block * together; i < last; ++i) {
        const auto begin = static_cast<std::uint32_t>(i) * size;
        out[i] = cluster_of(tree, begin, std::min(count, begin + size));
      }
    });
  };
  add(Impl::Cluster::kSize, 1024, tree.clusters);
  add(Impl::Cluster::kSize * Impl::Cluster::kGroup, 16, tree.groups);
}

}  // namespace

TriTree TriTree::over(const TriMesh& mesh) {
  auto tree = std::make_shared<Impl>();
  tree->origin = mesh.origin_mm;
  const BuildItems items(mesh);
  Assembly assembly(*tree, items);
  assembly.run();
  number_vertices(*tree, items, assembly.cells(), mesh.vertices, nullptr);
  note_where(*tree, mesh.triangles.size(), assembly.cells());
  add_clusters(*tree);
  TriTree out;
  out.impl_ = std::move(tree);
  return out;
}

TriTree TriTree::over(const PointCloud& cloud, const std::vector<float>& radius_mm) {
  auto tree = std::make_shared<Impl>();
  tree->origin = cloud.origin_mm;
  const BuildItems items(cloud, radius_mm);
  Assembly assembly(*tree, items);
  assembly.run();
  number_vertices(*tree, items, assembly.cells(), cloud.points, &radius_mm);
  note_where(*tree, cloud.points.size(), assembly.cells());
  TriTree out;
  out.impl_ = std::move(tree);
  return out;
}

}  // namespace baywright
