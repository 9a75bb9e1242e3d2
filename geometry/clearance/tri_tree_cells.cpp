#include "geometry/clearance/tri_tree_cells.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <utility>

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include "geometry/large_pages.hpp"

namespace baywright {
namespace {

constexpr int kBitsPerAxis = 7;
constexpr int kLowDigit = 11, kHighDigit = 10;  // together the 21 bits of a code
constexpr std::size_t kBlock = 131'072;         // keys handled by one thread at a time

std::uint32_t spread(std::uint32_t x) {  // seven bits, two zeros between each
  std::uint32_t out = 0;
  for (int bit = 0; bit < kBitsPerAxis; ++bit) out |= (x >> bit & 1U) << (3 * bit);
  return out;
}

const std::array<std::uint32_t, 1U << kBitsPerAxis>& spread_table() {
  static const auto kTable = [] {
    std::array<std::uint32_t, 1U << kBitsPerAxis> table;
    for (std::uint32_t i = 0; i < table.size(); ++i) table[i] = spread(i);
    return table;
  }();
  return kTable;
}

std::uint32_t code_of(std::uint64_t key) { return static_cast<std::uint32_t>(key >> 32); }

class Cutter {
 public:
  Cutter(const BuildItems& items, std::vector<std::uint64_t>& keys, std::size_t most)
      : items_(items), keys_(keys), most_(most) {
    if (keys.size() > most) resize_large(other_, keys.size());
  }

  std::vector<TreeCell> run() {
    if (!keys_.empty()) cut_by_place(0, keys_.size());
    return std::move(cells_);
  }

 private:
  template <class F>
  static void for_blocks(std::size_t begin, std::size_t end, const F& f) {
    const std::size_t count = (end - begin + kBlock - 1) / kBlock;
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, count, 1), [&](const auto& range) {
      for (std::size_t b = range.begin(); b < range.end(); ++b) {
        f(b, begin + b * kBlock, std::min(end, begin + (b + 1) * kBlock));
      }
    });
  }

  Vec3f center(std::uint64_t key) const {
    BuildRef ref;
    items_.box(static_cast<std::uint32_t>(key), ref);
    return 0.5F * (Vec3f(ref.lo[0], ref.lo[1], ref.lo[2]) + Vec3f(ref.hi[0], ref.hi[1], ref.hi[2]));
  }

  /// Cells of a grid of 128^3 over the centres of a range; what is still too many in one cell gets a grid of its own.
  void cut_by_place(std::size_t begin, std::size_t end) {
    if (end - begin <= most_) {
      cells_.push_back({begin, end});
      return;
    }
    struct Corners {
      Vec3f lo, hi;
    };
    std::vector<Corners> part((end - begin + kBlock - 1) / kBlock);
    for_blocks(begin, end, [&](std::size_t b, std::size_t from, std::size_t to) {
      Corners c{center(keys_[from]), center(keys_[from])};
      for (std::size_t i = from; i < to; ++i) {
        const Vec3f p = center(keys_[i]);
        c.lo = c.lo.cwiseMin(p);
        c.hi = c.hi.cwiseMax(p);
      }
      part[b] = c;
    });
    Corners all = part[0];
    for (const Corners& c : part) {
      all.lo = all.lo.cwiseMin(c.lo);
      all.hi = all.hi.cwiseMax(c.hi);
    }
    const float side = (all.hi - all.lo).maxCoeff();
    if (!(side > 1e-30F)) {  // all centres coincide: any cut is as good as another
      for (std::size_t i = begin; i < end; i += most_) cells_.push_back({i, std::min(end, i + most_)});
      return;
    }
    encode(begin, end, all.lo, 0.9999F * static_cast<float>(1U << kBitsPerAxis) / side);
    sort_by_digit(keys_, other_, begin, end, 32, kLowDigit);
    sort_by_digit(other_, keys_, begin, end, 32 + kLowDigit, kHighDigit);
    cut_by_code(begin, end);
  }

  void encode(std::size_t begin, std::size_t end, const Vec3f& from, float scale) {
    const auto& table = spread_table();
    for_blocks(begin, end, [&](std::size_t, std::size_t first, std::size_t last) {
      for (std::size_t i = first; i < last; ++i) {
        const Vec3f p = (center(keys_[i]) - from) * scale;
        std::uint64_t code = 0;
        for (int k = 0; k < 3; ++k) code |= std::uint64_t{table[static_cast<std::size_t>(p[k])]} << k;
        keys_[i] = code << 32 | (keys_[i] & 0xFFFFFFFFU);
      }
    });
  }

  /// One pass of a stable radix sort.
  static void sort_by_digit(const std::vector<std::uint64_t>& in, std::vector<std::uint64_t>& out, std::size_t begin,
                            std::size_t end, int shift, int bits) {
    const std::size_t values = std::size_t{1} << bits;
    const std::uint64_t mask = values - 1;
    std::vector<std::vector<std::size_t>> at((end - begin + kBlock - 1) / kBlock);
    for_blocks(begin, end, [&](std::size_t b, std::size_t first, std::size_t last) {
      at[b].assign(values, 0);
      for (std::size_t i = first; i < last; ++i) ++at[b][in[i] >> shift & mask];
    });
    std::size_t sum = begin;
    for (std::size_t v = 0; v < values; ++v) {
      for (auto& block : at) sum += std::exchange(block[v], sum);
    }
    for_blocks(begin, end, [&](std::size_t b, std::size_t first, std::size_t last) {
      for (std::size_t i = first; i < last; ++i) out[at[b][in[i] >> shift & mask]++] = in[i];
    });
  }

  void cut_by_code(std::size_t begin, std::size_t end) {
    if (end - begin <= most_) {
      cells_.push_back({begin, end});
      return;
    }
    const std::uint32_t differing = code_of(keys_[begin]) ^ code_of(keys_[end - 1]);
    if (differing == 0) {
      cut_by_place(begin, end);
      return;
    }
    const std::uint32_t bit = std::bit_floor(differing);
    const auto from = keys_.begin() + static_cast<std::ptrdiff_t>(begin);
    const auto to = keys_.begin() + static_cast<std::ptrdiff_t>(end);
    const auto middle = std::partition_point(from, to, [&](std::uint64_t key) { return (code_of(key) & bit) == 0; });
    const auto at = static_cast<std::size_t>(middle - keys_.begin());
    cut_by_code(begin, at);
    cut_by_code(at, end);
  }

  const BuildItems& items_;
  std::vector<std::uint64_t>& keys_;
  std::vector<std::uint64_t> other_;
  const std::size_t most_;
  std::vector<TreeCell> cells_;
};

}  // namespace

std::vector<TreeCell> cut_into_cells(const BuildItems& items, std::vector<std::uint64_t>& keys, std::size_t most) {
  return Cutter(items, keys, most).run();
}

}  // namespace baywright
