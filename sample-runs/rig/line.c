/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One row as a line of text. */
#include "sample-runs/rig/line.h"

#include <math.h>
#include <stdio.h>

/* Digits a real adapter would send: the sensor's steps and no more. */
static int decimals(nr_virtual_channel channel)
{
    switch (channel) {
    case NR_VC_SUN:
        return 1;
    case NR_VC_FLOW:
        return 3;
    case NR_VC_WIND:
    case NR_VC_PUMP:
        return 2;
    default:
        return 4;
    }
}

static void write_fields(FILE *f, const nr_virtual_params *p, const nr_readings *readings,
                         size_t row, unsigned long counter_ms)
{
    bool pairs = p->line == NR_LINE_PAIRS, first = true;
    if (p->clock == NR_CLOCK_ADAPTER) {
        fprintf(f, pairs ? "ms=%lu" : "%lu", counter_ms & 0xffffffffUL);
        first = false;
    }
    size_t column = 0;
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        if (!(p->channels & NR_VC_BIT(c))) {
            continue;
        }
        double value = readings->column[column++].value[row];
        if (!first) {
            fputc(p->separator, f);
        }
        first = false;
        if (pairs) {
            fprintf(f, "%s=", nr_virtual_channel_name(c));
        }
        if (isfinite(value)) {
            fprintf(f, "%.*f", decimals(c), value);
        }
    }
}

size_t nr_virtual_line(const nr_virtual_params *p, const nr_readings *readings, size_t row,
                       unsigned long counter_ms, char out[NR_VIRTUAL_LINE])
{
    /* Room is kept for the checksum; what does not fit makes the stream fail. */
    FILE *f = fmemopen(out, NR_VIRTUAL_LINE - 4, "w");
    if (!f) {
        return 0;
    }
    write_fields(f, p, readings, row, counter_ms);
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
