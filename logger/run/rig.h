/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rig.ini: what is measured, with what.
 *
 * One checked struct; inside the programs nothing is checked again. Values are canonical
 * (units.h) whatever unit the file used. Unknown keys and sections, doubled keys, a value and its
 * US twin together, impossible values: each is a problem naming file and line, and all of them are
 * reported, not only the first.
 */
#ifndef NR_RUN_RIG_H
#define NR_RUN_RIG_H

#include "logger/base/err.h"
#include "logger/base/units.h"
#include "logger/convert/convert.h"
#include "logger/run/instrument.h"
#include "logger/run/material.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_NAME 64         /* size of names: channels, sensors, collectors */
#define NR_SECTION_NAME 40 /* ... of those that a section is called by, with the NUL */
#define NR_RIG_CHANNELS 48
#define NR_RIG_ADAPTERS 4
#define NR_RIG_BUILDS 8 /* collectors on one rig */

/* A number from the rig file with its standard uncertainty (key prefix u_). */
typedef struct nr_value {
    bool given;   /* false: value is NAN, or the documented default */
    double value; /* canonical unit */
    bool u_given;
    double u;  /* standard uncertainty, canonical unit; NAN when not given */
    long line; /* of the value, 0 when not given */
} nr_value;

/* Not stated counts as bare wherever it matters; who can say so, says so. */
typedef enum nr_glazing {
    NR_GLAZING_UNKNOWN,
    NR_GLAZING_NONE,
    NR_GLAZING_SINGLE,
    NR_GLAZING_DOUBLE
} nr_glazing;
typedef enum nr_lid { NR_LID_UNKNOWN, NR_LID_NO, NR_LID_YES } nr_lid;
typedef enum nr_rows { NR_ROWS_INSTANT, NR_ROWS_MEAN } nr_rows;
typedef enum nr_dew { NR_DEW_UNKNOWN, NR_DEW_NO, NR_DEW_YES } nr_dew;
typedef enum nr_aim { NR_AIM_UNKNOWN, NR_AIM_FIXED, NR_AIM_FOLLOWED } nr_aim;
/* The last two are no words of a rig file: what the analysis made of a channel (analyze/plane). */
typedef enum nr_plane {
    NR_PLANE_UNKNOWN,
    NR_PLANE_COLLECTOR,
    NR_PLANE_HORIZONTAL,
    NR_PLANE_BROUGHT, /* from the horizontal to the collector's, by models */
    NR_PLANE_MODEL    /* not measured: a cloudless sky's */
} nr_plane;
typedef enum nr_shaded { NR_SHADED_UNKNOWN, NR_SHADED_NO, NR_SHADED_YES } nr_shaded;
typedef enum nr_line_format { NR_LINE_VALUES, NR_LINE_PAIRS } nr_line_format;
typedef enum nr_checksum { NR_CHECKSUM_NONE, NR_CHECKSUM_XOR8 } nr_checksum;
typedef enum nr_clock_kind { NR_CLOCK_HOST, NR_CLOCK_ADAPTER } nr_clock_kind;
typedef enum nr_adapter_kind { NR_ADAPTER_LINES, NR_ADAPTER_MODBUS } nr_adapter_kind;

/* What is behind the absorber: key `back`. */
typedef enum nr_back_kind {
    NR_BACK_UNKNOWN, /* not stated, or the word usual: the usual box with its spread */
    NR_BACK_NONE,    /* nothing that holds heat to speak of */
    NR_BACK_STATED   /* a material of a thickness */
} nr_back_kind;

typedef struct nr_back {
    nr_back_kind kind;
    const nr_material *material; /* NULL unless stated */
    double thickness_m;          /* NAN unless stated */
    long line;                   /* 0: not stated */
} nr_back;

/* Incidence angle modifier as a table: key `iam`. */
#define NR_IAM_POINTS 16
typedef struct nr_iam_table {
    size_t points;                   /* 0: not stated */
    double angle_deg[NR_IAM_POINTS]; /* increasing, from 0 */
    double factor[NR_IAM_POINTS];    /* 1 at 0 */
    long line;
} nr_iam_table;

/* [collector] */
typedef struct nr_rig_collector {
    char name[NR_NAME]; /* of [collector NAME], or the key; "" when neither is there */
    long line_number;   /* of the section's heading; 0: there is none */
    nr_value gross_area_m2, tilt_deg, azimuth_deg;
    nr_glazing glazing;
    nr_value fluid_kg, heat_capacity_J_K, tube_length_m, tube_bore_mm;
    nr_value iam_b0;  /* incidence angle modifier constant, 1 - b0 (1/cos - 1); NAN when not
                         given: what glazing implies is the model's to say */
    nr_iam_table iam; /* instead of iam_b0; both given is an error */
    nr_back back;
    nr_value back_heat_capacity_J_K; /* of the whole back; wins over what `back` implies */
    nr_aim aim;                      /* was it turned after the sun during the test? */
    nr_dew dew;                      /* was it wet when the record began? */
} nr_rig_collector;

/* [store] */
typedef struct nr_rig_store {
    nr_value water_kg, water_end_kg, dry_heat_capacity_J_K, loss_W_K;
    nr_value opening_m2; /* of open water */
    nr_value pump_W;     /* electrical power of the pump that ends up in the water */
    nr_lid lid;
    long line_number; /* of the section's heading; 0: there is no [store] */
} nr_rig_store;

/* A collector with its container: what one answer is about. */
typedef struct nr_rig_build {
    char name[NR_NAME]; /* NAME of the headings; "" of the plain sections */
    nr_rig_collector collector;
    nr_rig_store store;
} nr_rig_build;

/* [adapter] or [adapter NAME] */
typedef struct nr_rig_adapter {
    char name[NR_NAME];   /* "" for the plain [adapter] */
    nr_adapter_kind kind; /* key `kind`: lines (default) or modbus */
    char port[256];       /* device path, or usb:VID:PID[:SERIAL] */
    int baud;             /* default 115200 */
    nr_line_format line;  /* default pairs */
    char separator;       /* default ','; the words comma, semicolon, tab, space are accepted */
    nr_checksum checksum; /* xor8: the line ends in *HH, HH = XOR of all characters before '*' */
    nr_clock_kind clock;  /* adapter: the line carries a milliseconds counter in clock_field */
    char clock_field[NR_NAME]; /* 1-based index or key; default 1 (values) or "ms" (pairs) */
    double interval_s;         /* expected time between lines; default 1 */
    char parity;               /* modbus: N, E (default) or O */
    long line_number;          /* of the section header */
} nr_rig_adapter;

/* [channel NAME] */
typedef struct nr_rig_channel {
    char name[NR_NAME];   /* of the section; in a view, of the role where it has one */
    char column[NR_NAME]; /* of the section, always: the name in readings.csv */
    const nr_unit *unit;  /* of the converted reading and of low, high, u_offset as written;
                             those three are stored canonical. Never NULL: a unit that is only a
                             label has dimension NR_DIM_NONE and lives in own_unit. */
    nr_unit own_unit;     /* storage for a unit not in the table (name in own_unit_name) */
    char own_unit_name[NR_NAME];
    char adapter[NR_NAME]; /* key `adapter`; "" = the plain [adapter] */
    char field[NR_NAME];   /* 1-based index or key; default: the channel's name (pairs) */
    char sensor[NR_NAME];  /* identity; "" = a sensor of its own */
    const nr_law *law;     /* never NULL; default none */
    double coefficient[NR_LAW_MAX_KEYS]; /* in the order of law->keys, defaults filled in */
    char cold_channel[NR_NAME];
    double u_offset;       /* standard uncertainty of a constant error, canonical; NAN: not given */
    double u_gain;         /* relative standard uncertainty; NAN: not given */
    double u_drift;        /* standard uncertainty of what it drifts by through a record, canonical
                              (of a temperature); NAN: not given */
    double correct_offset; /* key `offset`: added to the converted reading (from `noonlog bath`),
                              canonical */
    double lag_s;          /* time constant; 0 when not given */
    double low, high;      /* believable range, canonical; NAN: not given */
    double resolution;     /* smallest step that is read, canonical; NAN: not given */
    const nr_instrument_kind *kind; /* key `kind`; NULL: not stated. Its numbers are filled in above
                                  where the file gives none */
    /* Of an infrared thermometer; NAN emissivity: its reading stands as it is (infrared.h). */
    double emissivity, emissivity_set;
    double surroundings, instrument; /* temperatures, canonical */
    nr_plane plane;                  /* of an irradiance sensor */
    double u_brought;                /* relative, of NR_PLANE_BROUGHT; it is in u_gain, too */
    /* Of NR_PLANE_MODEL, seconds: sunny time in which something would have shown a cloud; under
     * clouds; under a cloud or with a standing pump; and elapsed_s of the first (NAN: none). */
    double cloud_seen_s, cloud_s, cloud_or_pump_s, cloud_first_s;
    nr_shaded shaded;   /* of the air's probe: out of the sun? */
    char role[NR_NAME]; /* key `role`, what it is by meaning.h; "": its own name says */
    char of[NR_NAME];   /* key `of`: the collector it belongs to; "": all of them */
    int modbus_unit, modbus_register, modbus_scale; /* modbus_scale divides the register's
                                                       number; -1 when not given */
    char modbus_type[NR_NAME];
    long line_number;
} nr_rig_channel;

/* A rig file, or the view of one build of it: the same struct with one build and with the channels
 * that are the build's own or shared, those with a role under the role's name. Whoever asks about a
 * collector looks at a view and asks for `channel store`, whatever the file calls it. */
typedef struct nr_rig {
    char path[NR_ERR_FILE];
    char title[256], notes[1024]; /* cleaned (text.h); longer notes are an error */
    char units[8];                /* [test] units = si|us: default display; "" not given */
    nr_value latitude_deg, longitude_deg, elevation_m;
    nr_rows
        rows; /* [test] rows: each row the reading of a moment, or the mean since the last row */
    size_t builds; /* 1 where the sections are plain; a view has 1 always */
    nr_rig_build build[NR_RIG_BUILDS];
    nr_rig_collector collector; /* of build[0]: the one in view */
    nr_rig_store store;
    size_t adapters, channels;
    nr_rig_adapter adapter[NR_RIG_ADAPTERS];
    nr_rig_channel channel[NR_RIG_CHANNELS];
} nr_rig;

/* What the reader is going to do with it decides what must be there. */
typedef enum nr_rig_need {
    NR_RIG_FOR_RECORD,   /* an adapter and at least one channel, each with a field (or register);
                            a port is not asked for: it may come from the command line */
    NR_RIG_FOR_ANALYSIS, /* [collector] gross_area_m2; who needs the store's water says so
                            (nr_rig_needs_water) */
    NR_RIG_FOR_READINGS  /* at least one channel: readings come from elsewhere, [adapter] does not
                            matter */
} nr_rig_need;

/* Reads and checks a file. A channel's unit may point into the channel itself: hand *rig around by
 * pointer, do not copy it. Read for analysis, a rig with one build is in view already; one with
 * several is not: choose (nr_rig_view). Problems go one by one to `problems` (may be NULL) as
 * "FILE:LINE: text", in the order of the lines; the first is also in *err. *rig is only to be used
 * when NR_OK. */
nr_code nr_rig_read(const char *path, nr_rig_need need, nr_rig *rig, const nr_sink *problems,
                    nr_err *err);

/* The same from memory (tests, fuzzer); path is only for messages. */
nr_code nr_rig_parse(const char *text, size_t length, const char *path, nr_rig_need need,
                     nr_rig *rig, const nr_sink *problems, nr_err *err);

/* The view of one build (index below rig->builds) in *view, which must not be *rig. */
void nr_rig_view(const nr_rig *rig, size_t build, nr_rig *view);

/* The build of this name, by its heading or its collector's name; rig->builds when there is none.
 */
size_t nr_rig_build_find(const nr_rig *rig, const char *name);

/* "left, right": for messages. */
void nr_rig_build_names(const nr_rig *rig, char *out, size_t size);

/* NR_BAD, naming the place, when the rig does not say how much water there is. */
nr_code nr_rig_needs_water(const nr_rig *rig, nr_err *err);

/* Heat that the back holds per square metre [J/(m2 K)]: stated as such, or by material and
 * thickness; 0 with back = none, NAN when not stated. */
double nr_rig_back_J_m2K(const nr_rig_collector *collector);

/* Panes or films over the absorber: 0, 1 or 2. The only place that says what a glazing means. */
int nr_glazing_covers(nr_glazing glazing);

/* The rig file's word; "" when not stated. */
const char *nr_glazing_word(nr_glazing glazing);

/* NULL when there is no such channel. */
const nr_rig_channel *nr_rig_channel_find(const nr_rig *rig, const char *name);

/* The channel that has this meaning for a build: its own, or one that all share; by its role, else
 * by its name. NULL when there is none. */
const nr_rig_channel *nr_rig_channel_of(const nr_rig *rig, size_t build, const char *role);

/* What a channel is, by its role, else by its name: "store"; NULL: nothing that analysis knows. */
const char *nr_rig_channel_role(const nr_rig_channel *channel);

/* The unit of a channel's column in readings.csv: canonical whenever the dimension is known, so
 * that a rig in degF still records degC; otherwise the channel's own unit. */
const nr_unit *nr_rig_column_unit(const nr_rig_channel *channel);

/* "store_degC": the column a channel is written to. out holds at least 2 * NR_NAME. */
void nr_rig_column_name(const nr_rig_channel *channel, char *out, size_t size);

/* Every section and key with unit, default, range and meaning, as plain text. Written from the
 * tables the parser itself works with, so that --help and the manual cannot drift from it. */
void nr_rig_describe(FILE *to);

/* The same as lines "section<TAB>key<TAB>unit<TAB>default<TAB>meaning (words or range)", for making
 * and checking manuals. */
void nr_rig_describe_table(FILE *to);

#endif
