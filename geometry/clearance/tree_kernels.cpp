#include "geometry/clearance/tree_kernels.hpp"

#include <cstdlib>
#include <string>
#include <utility>

#include "geometry/base/expects.hpp"

namespace baywright {

extern const TreeKernels kBaseKernels;
#if defined(BAYWRIGHT_HAS_AVX2_KERNELS)
extern const TreeKernels kAvx2Kernels;
#endif

namespace {

/// nullptr where the processor cannot.
const TreeKernels* wide_kernels() {
#if defined(BAYWRIGHT_HAS_AVX2_KERNELS)
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) return &kAvx2Kernels;
#endif
  return nullptr;
}

}  // namespace

Result<const TreeKernels*> tree_kernels_named(std::string_view name) {
  if (name == kBaseKernels.name) return &kBaseKernels;
  const TreeKernels* wide = wide_kernels();
  if (wide && name == wide->name) return wide;
  std::string message = "\"";
  message += name;
  message += "\" is no instruction set this processor and program have; use ";
  message += kBaseKernels.name;
  if (wide) {
    message += " or ";
    message += wide->name;
  }
  message += ", or unset it";
  return fail(ErrorCode::bad_value, "environment variable BAYWRIGHT_KERNELS", std::move(message));
}

Result<const TreeKernels*> chosen_tree_kernels() {
  if (const char* name = std::getenv("BAYWRIGHT_KERNELS")) return tree_kernels_named(name);
  const TreeKernels* wide = wide_kernels();
  return wide ? wide : &kBaseKernels;
}

const TreeKernels& tree_kernels() {
  static const TreeKernels* const kChosen = [] {
    const auto chosen = chosen_tree_kernels();
    EXPECTS(chosen.has_value());
    return *chosen;
  }();
  return *kChosen;
}

KernelTree kernel_view(const TriTree::Impl& tree) {
  return {tree.nodes.data(), tree.corner.empty() ? nullptr : tree.corner[0].data(),
          tree.vertices.empty() ? nullptr : tree.vertices[0].data(),
          tree.radius.empty() ? nullptr : tree.radius.data()};
}

}  // namespace baywright
