// Compiled for x86-64-v3 (CMakeLists.txt); empty elsewhere. Runs only where the processor has been asked.
#if defined(__AVX2__) && defined(__FMA__)
#define BAYWRIGHT_KERNEL_NAMESPACE kernels_avx2
#include "geometry/clearance/tree_kernels_impl.hpp"

namespace baywright {

extern const TreeKernels kAvx2Kernels{"avx2", kernels_avx2::near_point, kernels_avx2::near_shape,
                                      kernels_avx2::near_moving};

}  // namespace baywright
#endif
