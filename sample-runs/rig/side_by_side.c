/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/side_by_side.h"

#include "logger/base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Where a channel of the record comes from. */
typedef struct origin {
    size_t collector, column;
} origin;

static nr_code check_names(const nr_virtual_params *p, size_t count, nr_err *err)
{
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < i; k++) {
            if (strcmp(p[i].build, p[k].build) == 0) {
                return nr_fail(err, NR_BAD, NULL, 0,
                               "two collectors are called \"%s\": give one another --name",
                               p[i].build);
            }
        }
    }
    return NR_OK;
}

/* The column of a collector's own run for the channel of the record; its channels come in the same
 * order in both. */
static nr_code find_origins(const nr_virtual_record *r, const nr_virtual_params *p,
                            origin from[NR_RIG_CHANNELS], nr_err *err)
{
    size_t channels = 0;
    for (size_t i = 0; i < r->collectors; i++) {
        size_t column = 0;
        for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
            if (!(p[i].channels & NR_VC_BIT(c))) {
                continue;
            }
            if (i == 0 || !nr_virtual_is_shared(c)) {
                from[channels++] = (origin){i, column};
            }
            column++;
        }
    }
    if (channels != r->run.rig.channels) {
        return nr_fail(err, NR_BAD, NULL, 0, "the rig file has other channels than the simulation");
    }
    return NR_OK;
}

/* One sky and one instrument: what two runs were simulated with has to be the same. */
static nr_code check_shared(const nr_virtual_record *r, const nr_virtual_params *p, nr_err *err)
{
    const nr_readings *first = r->of[0]->run.readings;
    for (size_t i = 1; i < r->collectors; i++) {
        const nr_readings *other = r->of[i]->run.readings;
        bool same = other->rows == first->rows && p[i].interval_s == p[0].interval_s;
        for (nr_virtual_channel c = 0; same && c < NR_VC_COUNT; c++) {
            const char *name = nr_virtual_channel_name(c);
            const double *a = nr_readings_channel(first, name),
                         *b = nr_readings_channel(other, name);
            if (nr_virtual_is_shared(c) && a && b) {
                same = memcmp(a, b, first->rows * sizeof *a) == 0;
            }
        }
        if (!same) {
            return nr_fail(err, NR_BAD, NULL, 0,
                           "\"%s\" has another sky, another time or other shared sensors than "
                           "\"%s\": such options stand before the first --beside",
                           p[i].build, p[0].build);
        }
    }
    return NR_OK;
}

static nr_code join_readings(nr_virtual_record *r, const origin *from, nr_err *err)
{
    const nr_readings *first = r->of[0]->run.readings;
    nr_readings *all = r->run.readings = nr_readings_new();
    double value[NR_RIG_CHANNELS];
    nr_code code = all ? nr_readings_reserve(all, first->rows, err)
                       : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t c = 0; code == NR_OK && c < r->run.rig.channels; c++) {
        const nr_rig_channel *channel = &r->run.rig.channel[c];
        code = nr_readings_add_column(all, channel->name, channel->unit->name, err);
    }
    for (size_t row = 0; code == NR_OK && row < first->rows; row++) {
        for (size_t c = 0; c < r->run.rig.channels; c++) {
            value[c] = r->of[from[c].collector]->run.readings->column[from[c].column].value[row];
        }
        code = nr_readings_append(all, first->utc_s[row], first->elapsed_s[row], value, err);
    }
    return code;
}

static nr_code join(nr_virtual_record *r, const nr_virtual_params *p, nr_err *err)
{
    origin from[NR_RIG_CHANNELS];
    char *text = nr_virtual_rigs_text(p, r->collectors);
    if (!text) {
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory for the rig file");
    }
    nr_copy(r->run.folder, sizeof r->run.folder, p[0].build);
    nr_code code = nr_rig_parse(text, strlen(text), "virtual/" NR_RIG_FILE, NR_RIG_FOR_ANALYSIS,
                                &r->run.rig, NULL, err);
    free(text);
    if (code == NR_OK) {
        code = check_shared(r, p, err);
    }
    if (code == NR_OK) {
        code = find_origins(r, p, from, err);
    }
    r->run.notes = r->of[0]->run.notes; /* borrowed */
    return code == NR_OK ? join_readings(r, from, err) : code;
}

nr_code nr_virtual_record_make(const nr_virtual_params *p, size_t count, nr_virtual_record **out,
                               nr_err *err)
{
    *out = NULL;
    nr_code code = check_names(p, count, err);
    if (code) {
        return code;
    }
    nr_virtual_record *r = calloc(1, sizeof *r);
    if (!r) {
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory for a record");
    }
    while (code == NR_OK && r->collectors < count) {
        code = nr_virtual_simulate(&p[r->collectors], &r->of[r->collectors], err);
        r->collectors += code == NR_OK;
    }
    if (code == NR_OK) {
        code = join(r, p, err);
    }
    if (code) {
        nr_virtual_record_free(r);
        return code;
    }
    *out = r;
    return NR_OK;
}

void nr_virtual_record_free(nr_virtual_record *r)
{
    if (!r) {
        return;
    }
    nr_readings_free(r->run.readings);
    for (size_t i = 0; i < r->collectors; i++) {
        nr_virtual_run_free(r->of[i]);
    }
    free(r);
}

nr_code nr_virtual_record_write(const nr_virtual_record *r, const nr_virtual_params *p,
                                const char *folder, nr_err *err)
{
    char *text = nr_virtual_rigs_text(p, r->collectors);
    nr_code code = text ? nr_virtual_write_folder(&r->run, text, folder, err)
                        : nr_fail(err, NR_BAD, NULL, 0, "out of memory for the rig file");
    free(text);
    return code;
}

nr_code nr_virtual_record_truth(const nr_virtual_record *r, const nr_virtual_params *p, FILE *to,
                                nr_err *err)
{
    if (r->collectors == 1) {
        return nr_virtual_truth_json(r->of[0], p, to, err);
    }
    nr_code code = NR_OK;
    fputs("{\"collectors\": [\n", to);
    for (size_t i = 0; code == NR_OK && i < r->collectors; i++) {
        fputs(i > 0 ? ",\n" : "", to);
        code = nr_virtual_truth_json(r->of[i], &p[i], to, err);
    }
    if (code == NR_OK && (fputs("]}\n", to) == EOF || fflush(to) != 0)) {
        code = nr_fail(err, NR_BAD, NULL, 0, "the truth could not be written");
    }
    return code;
}
