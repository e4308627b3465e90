/* One row as a line of text. */
#include "sample-runs/rig/line.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

typedef struct text {
    char *out;
    size_t length;
    bool full;
} text;

static void add(text *t, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void add(text *t, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    size_t room = NR_VIRTUAL_LINE - t->length;
    int n = vsnprintf(t->out + t->length, room, format, arguments);
    va_end(arguments);
    t->full = t->full || n < 0 || (size_t)n >= room;
    t->length += t->full ? 0 : (size_t)n;
}

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

size_t nr_virtual_line(const nr_virtual_params *p, const nr_readings *readings, size_t row,
                       unsigned long counter_ms, char out[NR_VIRTUAL_LINE])
{
    text t = {out, 0, false};
    bool pairs = p->line == NR_LINE_PAIRS, first = true;
    if (p->clock == NR_CLOCK_ADAPTER) {
        add(&t, pairs ? "ms=%lu" : "%lu", counter_ms & 0xffffffffUL);
        first = false;
    }
    size_t column = 0;
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        if (!(p->channels & NR_VC_BIT(c))) {
            continue;
        }
        double value = readings->column[column++].value[row];
        if (!first) {
            add(&t, "%c", p->separator);
        }
        first = false;
        if (pairs) {
            add(&t, "%s=", nr_virtual_channel_name(c));
        }
        if (isfinite(value)) {
            add(&t, "%.*f", decimals(c), value);
        }
    }
    if (p->checksum == NR_CHECKSUM_XOR8) {
        unsigned sum = 0;
        for (size_t i = 0; i < t.length; i++) {
            sum ^= (unsigned char)out[i];
        }
        add(&t, "*%02X", sum);
    }
    return t.full ? 0 : t.length;
}
