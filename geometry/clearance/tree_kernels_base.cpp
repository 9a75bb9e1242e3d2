#define BAYWRIGHT_KERNEL_NAMESPACE kernels_base
#include "geometry/clearance/tree_kernels_impl.hpp"

namespace baywright {

#if defined(__SSE2__)
extern const TreeKernels kBaseKernels{"sse2", kernels_base::near_point, kernels_base::near_shape,
                                      kernels_base::near_moving};
#else
extern const TreeKernels kBaseKernels{"plain", kernels_base::near_point, kernels_base::near_shape,
                                      kernels_base::near_moving};
#endif

}  // namespace baywright
