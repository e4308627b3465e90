/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One row as a line of text. */
#include "sample-runs/rig/line.h"

#include <math.h>
#include <stdio.h>

/* Digits a real adapter would send: the sensor's steps and no more. */
static int decimals(nr_dimension dimension)
{
    switch (dimension) {
    case NR_DIM_IRRADIANCE:
        return 1;
    case NR_DIM_FLOW:
        return 3;
    case NR_DIM_TEMPERATURE:
        return 4;
    default:
        return 2;
    }
}

static void write_fields(FILE *f, const nr_virtual_params *p, const nr_run *run, size_t row,
                         unsigned long long counter_ms)
{
    bool pairs = p->line == NR_LINE_PAIRS, first = true;
    if (p->clock == NR_CLOCK_ADAPTER) {
        fprintf(f, pairs ? "ms=%llu" : "%llu", counter_ms & 0xffffffffULL);
        first = false;
    }
    for (size_t c = 0; c < run->rig.channels; c++) {
        const nr_rig_channel *channel = &run->rig.channel[c];
        double value = run->readings->column[c].value[row];
        if (!first) {
            fputc(p->separator, f);
        }
        first = false;
        if (pairs) {
            fprintf(f, "%s=", channel->name);
        }
        if (isfinite(value)) {
            fprintf(f, "%.*f", decimals(channel->unit->dimension), value);
        }
    }
}

size_t nr_virtual_line(const nr_virtual_params *p, const nr_run *run, size_t row,
                       unsigned long long counter_ms, char out[NR_VIRTUAL_LINE])
{
    /* Room is kept for the checksum; what does not fit makes the stream fail. */
    FILE *f = fmemopen(out, NR_VIRTUAL_LINE - 4, "w");
    if (!f) {
        return 0;
    }
    write_fields(f, p, run, row, counter_ms);
    bool whole = fflush(f) == 0 && !ferror(f);
    long length = ftell(f);
    whole = fclose(f) == 0 && whole && length > 0;
    if (!whole) {
        return 0;
    }
    if (p->checksum == NR_CHECKSUM_NONE) {
        return (size_t)length;
    }
    unsigned sum = 0;
    for (long i = 0; i < length; i++) {
        sum ^= (unsigned char)out[i];
    }
    int more = snprintf(out + length, 4, "*%02X", sum);
    return (size_t)length + (size_t)more;
}
