/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/pump/pump.h"

const nr_pump_row *nr_pump_row_of(const nr_pump *p, double times)
{
    for (size_t i = 0; i < p->rows; i++)
        if (p->row[i].times == times)
            return &p->row[i];
    return NULL;
}
