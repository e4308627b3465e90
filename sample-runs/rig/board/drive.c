/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/board/drive.h"

#include "logger/base/text.h"
#include "sample-runs/rig/board/scenario.h"
#include "sample-runs/rig/instrument.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The parts on the bench. */
#define SHUNT_OHM 0.05
#define CELL_ISC_A 0.92 /* at 1000 W/m2 */
#define AMPLIFIER 20.0
#define PULSES_PER_L 450.0
#define CUPS_M_S_PER_HZ 0.7
#define PUMP_DIVIDER 16.0 /* 150 and 10 kilohm */
#define CELL 4
#define PUMP 5

static const nr_virtual_channel probes[] = {NR_VC_STORE, NR_VC_INLET, NR_VC_OUTLET, NR_VC_AIR,
                                            NR_VC_BOX};
#define PROBES (sizeof probes / sizeof *probes)

struct nr_drive {
    nr_virtual_params params;
    nr_virtual_run *run;
    double interval_s; /* of the board's lines */
    size_t row;
};

nr_code nr_drive_new(const char *build, double duration_s, const char *port, double interval_s,
                     nr_drive **out, nr_err *err)
{
    bool glazed = strcmp(build, "glazed") == 0;
    *out = NULL;
    if (!glazed && strcmp(build, "bare") != 0)
        return nr_fail(err, NR_BAD, NULL, 0, "there is no build %s: glazed or bare", build);
    nr_drive *d = calloc(1, sizeof *d);
    if (!d)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    d->params = glazed ? nr_virtual_glazed() : nr_virtual_bare();
    d->params.duration_s = duration_s;
    d->params.hide_site = true; /* the sun of the simulation is not the sun of today */
    d->params.channels = NR_VC_LOOP_SET | NR_VC_BIT(NR_VC_WIND);
    d->interval_s = interval_s;
    for (size_t c = 0; c < NR_VC_COUNT; c++)
        d->params.sensor[c].step = 0;
    if (!nr_copy(d->params.port, sizeof d->params.port, port)) {
        free(d);
        return nr_fail(err, NR_BAD, port, 0, "the name is too long");
    }
    nr_code code = nr_virtual_simulate(&d->params, &d->run, err);
    if (code != NR_OK) {
        free(d);
        return code;
    }
    *out = d;
    return NR_OK;
}

void nr_drive_free(nr_drive *d)
{
    if (!d)
        return;
    nr_virtual_run_free(d->run);
    free(d);
}

static double reading(const nr_drive *d, nr_virtual_channel channel)
{
    const double *column =
        nr_readings_channel(d->run->run.readings, nr_virtual_channel_name(channel));
    return column ? column[d->row] : NAN;
}

bool nr_drive_apply(nr_drive *d, nr_board *board, double t_s)
{
    const nr_readings *r = d->run->run.readings;
    while (d->row + 1 < r->rows && r->elapsed_s[d->row + 1] <= t_s)
        d->row++;
    for (unsigned i = 0; i < PROBES; i++) {
        double degC = reading(d, probes[i]);
        if (!isnan(degC))
            nr_board_probe(board, i + 1, degC, true);
    }
    nr_analogue *pins = nr_board_analogue(board);
    pins->volt[CELL] = AMPLIFIER * SHUNT_OHM * CELL_ISC_A * reading(d, NR_VC_SUN) / 1000;
    pins->volt[PUMP] = 12 / PUMP_DIVIDER;
    nr_board_meter_rate(board, 0, reading(d, NR_VC_FLOW) * PULSES_PER_L / 60);
    nr_board_meter_rate(board, 1, reading(d, NR_VC_WIND) / CUPS_M_S_PER_HZ);
    return t_s <= r->elapsed_s[r->rows - 1];
}

/* --- the rig file -------------------------------------------------------------------------- */

/* What stands in a channel's section beside unit, sensor and its uncertainties. */
static void write_wiring(FILE *to, nr_virtual_channel channel)
{
    for (unsigned i = 0; i < PROBES; i++)
        if (probes[i] == channel) {
            nr_probe p;
            nr_probe_init(&p, i + 1, 0, true);
            fputs("field = ", to);
            for (int k = 0; k < 8; k++)
                fprintf(to, "%02X", p.rom[k]);
            fputs("\nconvert = onewire_degC\n", to);
        }
    if (channel == NR_VC_SUN)
        fprintf(
            to,
            "field = cell\nconvert = sun_shunt\nshunt_ohm = %g\nisc_A = %g\nisc_tempco_1_K = 0\n"
            "volt_per_raw = %g\n",
            SHUNT_OHM, CELL_ISC_A, 0.001 / AMPLIFIER);
    if (channel == NR_VC_FLOW)
        fprintf(to, "field = hz1\nconvert = flow_hz\npulses_per_L = %g\n", PULSES_PER_L);
    if (channel == NR_VC_WIND)
        fprintf(to, "field = hz2\nconvert = linear\ngain = %g\n", CUPS_M_S_PER_HZ);
}

nr_code nr_drive_rig(const nr_drive *d, FILE *to, nr_err *err)
{
    nr_virtual_params p = d->params;
    p.interval_s = d->interval_s;
    char *text = nr_virtual_rig_text(&p), *rest = NULL;
    if (!text)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    for (char *line = strtok_r(text, "\n", &rest); line; line = strtok_r(NULL, "\n", &rest)) {
        fprintf(to, "%s%s\n", line[0] == '[' ? "\n" : "", line);
        for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
            char heading[80];
            snprintf(heading, sizeof heading, "[channel %s]", nr_virtual_channel_name(c));
            if (strcmp(line, heading) == 0)
                write_wiring(to, c);
        }
    }
    free(text);
    return ferror(to) ? nr_fail(err, NR_BAD, NULL, 0, "the rig file could not be written") : NR_OK;
}
