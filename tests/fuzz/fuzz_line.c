/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes from the wire, through lines and fields to rows. The first byte chooses the rig and how the
 * bytes are cut into pieces; each further piece arrives a little later. */
#include "logger/record/adapter_log.h"
#include "logger/record/sampler.h"
#include "tests/fuzz/fuzz.h"

#define CHANNELS                                                                                   \
    "[channel store]\nunit = degC\nfield = %s\nlow = -40\nhigh = 200\n"                            \
    "[channel sun]\nunit = W_m2\nfield = %s\n"

static const char *const adapters[] = {
    "[adapter]\nport = x\nline = pairs\n", "[adapter]\nport = x\nline = values\n",
    "[adapter]\nport = x\nline = pairs\nchecksum = xor8\nclock = adapter\n",
    "[adapter]\nport = x\nline = values\nseparator = space\nclock = adapter\n"};
#define RIGS (sizeof adapters / sizeof adapters[0])

typedef struct state {
    nr_rig *rig;
    nr_sampler *sampler;
    double now_s, last_s;
    unsigned long lines, rows;
} state;

static nr_rig *rig_number(size_t i)
{
    static nr_rig rigs[RIGS];
    static int made;
    for (size_t k = 0; k < RIGS && !made; k++) {
        char text[600];
        nr_err err;
        int n = snprintf(text, sizeof text, "%s", adapters[k]);
        snprintf(text + n, sizeof text - (size_t)n, CHANNELS, k % 2 ? "2" : "store",
                 k % 2 ? "4" : "sun");
        PROMISE(nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_RECORD, &rigs[k], NULL,
                             &err) == NR_OK);
    }
    made = 1;
    return &rigs[i];
}

static void on_event(void *context, nr_note_kind kind, const char *text)
{
    (void)context;
    PROMISE(nr_note_kind_name(kind) != NULL);
    promise_clean(text);
}

/* What goes into adapter.log comes out the same, and is harmless to look at. */
static void promise_logged(const nr_wire_line *line)
{
    static char row[NR_ADAPTER_LOG_ROW];
    static nr_logged back;
    size_t n = nr_adapter_log_row(1780000000, 1, "", line, row, sizeof row);
    PROMISE(n > 1 && row[n - 1] == '\n');
    for (size_t i = 0; i + 1 < n; i++)
        PROMISE(row[i] == '\t' || ((unsigned char)row[i] >= 0x20 && (unsigned char)row[i] < 0x7f));
    PROMISE(nr_adapter_log_parse(row, n - 1, &back));
    PROMISE(back.line.length == line->length &&
            memcmp(back.line.text, line->text, line->length) == 0);
    PROMISE(back.line.cut == line->cut && back.line.first == line->first);
}

static void on_line(void *context, const nr_wire_line *line)
{
    state *s = context;
    nr_sample row;
    bool is_row = false;
    nr_stamp stamp = {.utc_s = 1780000000 + s->now_s, .elapsed_s = s->now_s};
    PROMISE(line->length > 0 && line->length <= NR_LINE_MAX);
    promise_logged(line);
    nr_line_fault fault = nr_sampler_line(s->sampler, 0, stamp, line, &row, &is_row);
    PROMISE(fault < NR_LINE_FAULTS && (!is_row || fault == NR_LINE_GOOD));
    s->lines++;
    if (!is_row)
        return;
    PROMISE(row.elapsed_s > s->last_s && isfinite(row.utc_s));
    for (size_t c = 0; c < s->rig->channels; c++)
        PROMISE(!isinf(row.value[c]));
    PROMISE(!(row.value[0] < -40) && !(row.value[0] > 200));
    s->last_s = row.elapsed_s;
    s->rows++;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static nr_lines lines;
    if (size < 1)
        return 0;
    state s = {.rig = rig_number(data[0] % RIGS), .last_s = -1};
    size_t piece = 1 + data[0] / RIGS;
    s.sampler = nr_sampler_new(s.rig, -1, on_event, NULL);
    nr_lines_init(&lines);
    for (size_t at = 1; at < size; at += piece, s.now_s += 0.2)
        nr_lines_feed(&lines, (const char *)data + at, at + piece > size ? size - at : piece,
                      on_line, &s);
    nr_lines_restart(&lines, on_line, &s);
    const nr_sampler_counts *counts = nr_sampler_counted(s.sampler, 0);
    unsigned long sum = 0;
    for (int f = 0; f < NR_LINE_FAULTS; f++)
        sum += counts->fault[f];
    PROMISE(sum == s.lines && counts->rows == s.rows);
    PROMISE(counts->rows + counts->crowded == counts->fault[NR_LINE_GOOD]);
    PROMISE(lines.bytes == size - 1);
    nr_sampler_free(s.sampler);
    return 0;
}
