/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who is where, and who can be told apart, from the joint covariance of all builds' results.
 *
 * Ranks by simulation: results are drawn as they may truly be (normal, with the covariance that the
 * shared sensors give them), and each draw is sorted. The same draws give the coverage factor for
 * all pairs together: the 95 % point of the largest |difference error| / u over the pairs (the
 * single-step procedure of T. Hothorn, F. Bretz, P. Westfall, Biometrical Journal 50 (2008)
 * 346-363, from memory), which is sharper than Bonferroni's because pairs share builds. */
#ifndef NR_COMPARE_RANK_H
#define NR_COMPARE_RANK_H

#include "analyze/compare/compare.h"
#include "analyze/compare/lines.h"

/* Results of some builds with their covariance. */
typedef struct nr_cloud {
    size_t n;
    size_t build[NR_BUILDS];
    double value[NR_BUILDS], covariance[NR_BUILDS][NR_BUILDS];
} nr_cloud;

/* counts[i][k]: in how many of NR_RANK_DRAWS draws the i-th had rank k + 1; *k95: the coverage
 * factor for all pairs. Always the same draws. False without memory. */
bool nr_rank_simulate(const nr_cloud *cloud, unsigned counts[NR_BUILDS][NR_BUILDS], double *k95);

/* Fills compare->all_k and rank; heat_up is there already. NR_BAD without memory. */
nr_code nr_rank_all(const nr_lines *lines, nr_compare *compare, nr_err *err);

/* Letters for `count` builds in order, apart[i * count + k]: told apart. letters[i] gets those of
 * the i-th, at most size - 1. A letter stands for a set none of whose members are told apart, and
 * any two that are not have one in common: insertion and absorption, H.-P. Piepho, J. Comput.
 * Graph. Stat. 13 (2004) 456-466 (from memory). count at most 32. */
void nr_rank_letters(const bool *apart, size_t count, char *const *letters, size_t size);

#endif
