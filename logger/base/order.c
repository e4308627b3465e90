/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/order.h"

int nr_ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}
