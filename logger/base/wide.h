/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loops over many doubles in vectors of 256 bits where the processor has them: x86-64 promises 128,
 * and programs are built for all of them. The same operations on each double, none fused, so the
 * same numbers to the last digit either way.
 *
 *     static NR_WIDE_LOOP void add_loop(double *to, const double *row, size_t n) { ... }
 *     NR_WIDE(add, (double *to, const double *row, size_t n), (to, row, n))
 *
 * makes add(to, row, n) of add_loop. Its file is to be built with -O3 (CMakeLists.txt of its room):
 * -O2 leaves loops of any length as they are.
 */
#ifndef NR_BASE_WIDE_H
#define NR_BASE_WIDE_H

#if defined(__x86_64__) && defined(__GNUC__)
#define NR_WIDE_LOOP inline __attribute__((always_inline))
#define NR_WIDE(name, parameters, arguments)                                                       \
    __attribute__((target("avx2"))) static void name##_wide parameters                             \
    {                                                                                              \
        name##_loop arguments;                                                                     \
    }                                                                                              \
    static void name parameters                                                                    \
    {                                                                                              \
        if (__builtin_cpu_supports("avx2"))                                                        \
            name##_wide arguments;                                                                 \
        else                                                                                       \
            name##_loop arguments;                                                                 \
    }
#else
#define NR_WIDE_LOOP inline
#define NR_WIDE(name, parameters, arguments)                                                       \
    static void name parameters                                                                    \
    {                                                                                              \
        name##_loop arguments;                                                                     \
    }
#endif

#endif
