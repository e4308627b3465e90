/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rig.ini as the builder would write it: stated values, stated uncertainties. */
#include "sample-runs/rig/instrument.h"
#include "sample-runs/rig/virtual.h"

#include <math.h>
#include <stdlib.h>

static const char *const channel_units[NR_VC_COUNT] = {"degC",  "degC", "degC", "degC", "W_m2",
                                                       "L_min", "m_s",  "V",    "degC"};

static void key(FILE *f, const char *name, double value)
{
    fprintf(f, "%s = %.10g\n", name, value);
}

/* A value and its standard uncertainty from a relative one; none is written when it is zero. */
static void key_u(FILE *f, const char *name, double value, double relative)
{
    key(f, name, value);
    if (relative > 0.0) {
        fprintf(f, "u_%s = %.4g\n", name, fabs(value) * relative);
    }
}

/* What a bill of materials gives: the pane counts only by the heat that warms it from inside, the
 * square of its share of the absorber's rise (about an eighth behind one gap). */
static double stated_heat_capacity(const nr_virtual_device *d)
{
    if (!d->cover) {
        return d->absorber_J_K;
    }
    double share = d->gap0 / (d->gap0 + d->cover0 + 1.5 * d->coverwind);
    return d->absorber_J_K + share * share * d->cover_J_K;
}

static void write_head(FILE *f, const nr_virtual_params *p)
{
    fprintf(f,
            "[test]\ntitle = %s\nnotes = Simulated by the virtual rig (rig seed %lu, day seed "
            "%lu); no such heater exists.\n\n",
            p->title, p->rig_seed, p->day_seed);
    if (!p->hide_site) {
        fprintf(f, "[site]\n");
        key(f, "latitude_deg", p->latitude_deg);
        key(f, "longitude_deg", p->longitude_deg);
        key(f, "elevation_m", p->elevation_m);
        fprintf(f, "\n");
    }
}

static void write_collector(FILE *f, const nr_virtual_params *p, bool several)
{
    const nr_virtual_device *d = &p->stated;
    if (several) {
        fprintf(f, "[collector %s]\n", p->build);
    } else {
        fprintf(f, "[collector]\nname = %s\n", p->build);
    }
    key_u(f, "gross_area_m2", d->area_m2, p->u_area);
    key(f, "tilt_deg", p->tilt_deg);
    key(f, "azimuth_deg", p->azimuth_deg);
    fprintf(f, "glazing = %s\n", d->cover ? "single" : "none");
    key_u(f, "fluid_kg", d->fluid_kg, p->u_fluid);
    double capacity = stated_heat_capacity(d);
    key_u(f, "heat_capacity_J_K", capacity, p->u_absorber);
    if (p->tube_length_m > 0.0 && p->tube_bore_mm > 0.0) {
        key(f, "tube_length_m", p->tube_length_m);
        key(f, "tube_bore_mm", p->tube_bore_mm);
    }
    key(f, "iam_b0", d->iam_b0);
    fprintf(f, "back = none\n"); /* heat_capacity has the face of it, and the rest is foam */
    fprintf(f, "dew = no\n");
    if (several) {
        fprintf(f, "\n[store %s]\n", p->build);
    } else {
        fprintf(f, "\n[store]\n");
    }
    key_u(f, "water_kg", d->water_kg, p->u_water);
    key_u(f, "water_end_kg", d->water_kg, p->u_water); /* tight, and weighed again */
    key_u(f, "dry_heat_capacity_J_K", d->store_dry_J_K, p->u_store_dry);
    fprintf(f, "lid = yes\n");
    key(f, "pump_W", d->pump_heat_W);
    if (p->state_store_loss) {
        key_u(f, "loss_W_K", d->store_loss_W_K, p->u_store_loss);
    }
}

static const char *separator_word(char separator)
{
    switch (separator) {
    case ';':
        return "semicolon";
    case '\t':
        return "tab";
    case ' ':
        return "space";
    default:
        return "comma";
    }
}

static void write_adapter(FILE *f, const nr_virtual_params *p)
{
    fprintf(f, "\n[adapter]\nport = %s\nbaud = 115200\n", p->port);
    fprintf(f, "line = %s\n", p->line == NR_LINE_VALUES ? "values" : "pairs");
    fprintf(f, "separator = %s\n", separator_word(p->separator));
    fprintf(f, "checksum = %s\n", p->checksum == NR_CHECKSUM_XOR8 ? "xor8" : "none");
    fprintf(f, "clock = %s\n", p->clock == NR_CLOCK_ADAPTER ? "adapter" : "host");
    key(f, "interval_s", p->interval_s);
}

/* The probes do not drift here; one in a metal sleeve may by so much. */
#define PROBE_DRIFT_K 0.035

static void write_sensor(FILE *f, const nr_virtual_params *p, nr_virtual_channel c)
{
    const nr_virtual_sensor *s = &p->sensor[c];
    char identity[NR_NAME];
    nr_instrument_identity(p, c, identity);
    fprintf(f, "sensor = %s\n", identity);
    if (c == NR_VC_SUN) {
        fprintf(f, "plane = collector\n");
    }
    if (c == NR_VC_AIR) {
        fprintf(f, "shaded = yes\n");
    }
    if (s->u_offset > 0.0) {
        key(f, "u_offset", s->u_offset);
    }
    if (s->u_gain > 0.0) {
        key(f, "u_gain", s->u_gain);
    }
    if (c == NR_VC_STORE || c == NR_VC_INLET || c == NR_VC_OUTLET) {
        key(f, "u_drift", PROBE_DRIFT_K);
    }
    if (s->lag_s > 0.0) {
        key(f, "lag_s", s->lag_s);
    }
}

bool nr_virtual_is_shared(nr_virtual_channel channel)
{
    return channel == NR_VC_AIR || channel == NR_VC_SUN || channel == NR_VC_WIND;
}

/* How many characters all names begin with, up to a dash: "wash-stand-" of two wash stands. */
static size_t common_beginning(const nr_virtual_params *p, size_t count)
{
    size_t length = 0;
    for (size_t at = 0; p[0].build[at]; at++) {
        for (size_t i = 1; i < count; i++) {
            if (p[i].build[at] != p[0].build[at]) {
                return length;
            }
        }
        if (p[0].build[at] == '-') {
            length = at + 1;
        }
    }
    return count > 1 ? length : 0;
}

/* The channels of one collector; `field` is the next one's number. */
static void write_channels(FILE *f, const nr_virtual_params *p, bool several, bool first,
                           size_t beginning, int *field)
{
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        bool shared = nr_virtual_is_shared(c);
        const char *name = nr_virtual_channel_name(c);
        if (!(p->channels & NR_VC_BIT(c)) || (shared && !first)) {
            continue;
        }
        if (several && !shared) {
            fprintf(f, "\n[channel %s_%s]\nrole = %s\nof = %s\n", name, p->build + beginning, name,
                    p->build);
        } else {
            fprintf(f, "\n[channel %s]\n", name);
        }
        fprintf(f, "unit = %s\n", channel_units[c]);
        if (p->line == NR_LINE_VALUES) {
            fprintf(f, "field = %d\n", (*field)++);
        }
        write_sensor(f, p, c);
    }
}

char *nr_virtual_rigs_text(const nr_virtual_params *p, size_t count)
{
    char *text = NULL;
    size_t length = 0, beginning = common_beginning(p, count);
    /* With `values` lines fields are numbers, and the clock takes the first. */
    int field = p->clock == NR_CLOCK_ADAPTER ? 2 : 1;
    FILE *f = open_memstream(&text, &length);
    if (!f) {
        return NULL;
    }
    write_head(f, p);
    for (size_t i = 0; i < count; i++) {
        fputs(i > 0 ? "\n" : "", f);
        write_collector(f, &p[i], count > 1);
    }
    write_adapter(f, p);
    for (size_t i = 0; i < count; i++) {
        write_channels(f, &p[i], count > 1, i == 0, beginning, &field);
    }
    bool failed = ferror(f) != 0;
    if (fclose(f) != 0 || failed) {
        free(text);
        return NULL;
    }
    return text;
}

char *nr_virtual_rig_text(const nr_virtual_params *p)
{
    return nr_virtual_rigs_text(p, 1);
}
