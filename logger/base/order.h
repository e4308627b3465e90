/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NR_BASE_ORDER_H
#define NR_BASE_ORDER_H

/* For qsort of doubles, the smallest first. NAN equals everything: leave it out beforehand. */
int nr_ascending(const void *a, const void *b);

#endif
