/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/series.h"

#include <math.h>

bool nr_series_same_time(const nr_series *a, const nr_series *b)
{
    const nr_readings *p = a->run->readings, *q = b->run->readings;
    if (!p || !q || p->rows < 2 || q->rows < 2)
        return false;
    nr_values of_p = nr_readings_utc(p), of_q = nr_readings_utc(q);
    double p_from = nr_number(&of_p, 0), p_to = nr_number(&of_p, p->rows - 1);
    double q_from = nr_number(&of_q, 0), q_to = nr_number(&of_q, q->rows - 1);
    if (isnan(p_from + p_to + q_from + q_to))
        return false; /* a clock is not known */
    double from = fmax(p_from, q_from), to = fmin(p_to, q_to);
    double shorter = fmin(p_to - p_from, q_to - q_from);
    return to - from >= shorter / 2;
}
