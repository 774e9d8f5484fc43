"""How a block of threads is written out in C++.

Inside a block threads share memory and meet at barriers, which the language of the kernels lacks;
on the processor a block is one thread.
"""

from __future__ import annotations

# A block is 256 threads; PW_EACH(m) is what each does by itself, PW_OWN(a, k) what each keeps to
# itself in between, PW_OF(a, m) its part of that, PW_MEET where all wait for each other.
BLOCK = """
#if defined(__CUDA_ARCH__)
#define PW_SHARED __shared__
#define PW_MEET __syncthreads()
#define PW_OWN(a, k) double a[1][k]
#define PW_OF(a, m) a[0]
#else
#define PW_SHARED
#define PW_MEET
#define PW_OWN(a, k) double a[256][k]
#define PW_OF(a, m) a[m]
#endif
#define PW_EACH(m) for (int m = lane; m < 256; m += width)
"""
