/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/series.h"

#include <math.h>

bool nr_series_same_time(const nr_series *a, const nr_series *b)
{
    const nr_readings *p = a->run->readings, *q = b->run->readings;
    if (!p || !q || p->rows < 2 || q->rows < 2)
        return false;
    double from = fmax(p->utc_s[0], q->utc_s[0]);
    double to = fmin(p->utc_s[p->rows - 1], q->utc_s[q->rows - 1]);
    double shorter = fmin(p->utc_s[p->rows - 1] - p->utc_s[0], q->utc_s[q->rows - 1] - q->utc_s[0]);
    return to - from >= shorter / 2; /* false where a clock is not known */
}
