/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables and rigs drawn by a generator: heads in several languages (as dictionaries of the trade
 * have them, from memory), units, things nobody asked for, in any order; channels by their role's
 * name or by another. Each channel has to get its own column with the unit it says, and each other
 * none. Beside it what is refused, word for word. */
#include "logger/import/match.h"
#include "tests/unit/chance.h"
#include "tests/unit/import/tables.h"

#include <stdint.h>

static looked l;
static nr_rig rig;
static nr_match out;

static uint64_t state = 72;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

typedef struct stated {
    const char *head, *name; /* as a head has it, and units.h */
} stated;

static const stated
    degrees[] = {{"(C)", "degC"}, {"[\u00b0C]", "degC"}, {"(F)", "degF"}, {"(K)", "K"}},
    fluxes[] = {{"(W/m2)", "W_m2"},
                {"[W/m\u00b2]", "W_m2"},
                {"(kW/m2)", "kW_m2"},
                {"W/m2", "W_m2"}},
    flows[] = {{"(l/h)", "L_h"}, {"(L/min)", "L_min"}, {"[gpm]", "gal_min"}, {"(m3/h)", "m3_h"}},
    speeds[] = {{"(m/s)", "m_s"}, {"(km/h)", "km_h"}, {"(mph)", "mph"}, {"(kn)", "kn"}},
    percents[] = {{"(%)", "percent"}, {"[%]", "percent"}, {"(%)", "percent"}, {"(%)", "percent"}},
    powers[] = {{"(W)", "W"}, {"(V)", "V"}, {"(A)", "A"}, {"(mA)", "mA"}};

static const struct {
    const char *role, *unit; /* unit: of the channel */
    const stated *units;     /* 4 */
    const char *head[5];
} roles[] = {
    {"store", "degC", degrees, {"Tank", "Speicher", "Bucket", "Serbatoio", "Cuve"}},
    {"inlet", "degC", degrees, {"Inlet", "Eintritt", "Inlaat", "Entrada", "Inflow"}},
    {"outlet", "degC", degrees, {"Outlet", "Austritt", "Salida", "Sortie", "Outflow"}},
    {"air", "degC", degrees, {"Ambient", "Umgebung", "Aria", "Outdoor", "Lufttemperatur"}},
    {"box", "degC", degrees, {"Absorber", "Kasten", "Oven", "Caisson", "Collector"}},
    {"sun", "W_m2", fluxes, {"Irradiance", "Einstrahlung", "Pyranometer", "Rayonnement", "Sun"}},
    {"flow", "L_min", flows, {"Flow", "Durchfluss", "D\u00e9bit", "Portata", "Flow rate"}},
    {"wind", "m_s", speeds, {"Wind", "Windgeschwindigkeit", "Viento", "Anemometer", "Wind speed"}},
    {"humidity", "percent", percents, {"RH", "Humidity", "Luftfeuchte", "Humedad", "Feuchte"}},
    {"pump", "W", powers, {"Pump", "Pumpe", "Bomba", "Pompa", "Circulator"}},
    {"diffuse", "W_m2", fluxes, {"Diffuse", "DHI", "Difusa", "Diffus", "Diffuus"}},
};
#define ROLES (sizeof roles / sizeof *roles)

static const char *const others[] = {
    "Battery (V)",     "Dew point (C)",  "Setpoint (C)", "Rain (mm)",
    "Barometer (kPa)", "Wind direction", "Status",       "Count"};
#define OTHERS (sizeof others / sizeof *others)

typedef struct drawn_case {
    char table[3000], channels[1500];
    size_t column[ROLES], unit[ROLES]; /* of a role; NR_NO_COLUMN: no such column */
    size_t role[ROLES], count;         /* of the rig's channels, in their order */
    bool named[ROLES];                 /* by its role, in its channel */
} drawn_case;

static void shuffle(size_t *of, size_t count)
{
    for (size_t i = count; i > 1; i--) {
        size_t k = drawn((unsigned)i), keep = of[i - 1];
        of[i - 1] = of[k];
        of[k] = keep;
    }
}

static void draw_case(drawn_case *d)
{
    size_t order[ROLES + 4], columns = 0;
    memset(d, 0, sizeof *d);
    for (size_t i = 0; i < ROLES; i++) {
        d->column[i] = NR_NO_COLUMN;
        if (drawn(4) > 0)
            order[columns++] = i;
    }
    for (size_t k = drawn(4); k > 0; k--)
        order[columns++] = ROLES + drawn(OTHERS);
    shuffle(order, columns);
    strcpy(d->table, "Time");
    for (size_t c = 0; c < columns; c++) {
        size_t of = order[c];
        size_t used = strlen(d->table);
        if (of >= ROLES) {
            snprintf(d->table + used, sizeof d->table - used, ",%s", others[of - ROLES]);
            continue;
        }
        size_t u = of == 9 ? 0 : drawn(4);
        d->column[of] = c + 1;
        d->unit[of] = u;
        snprintf(d->table + used, sizeof d->table - used, ",%s %s", roles[of].head[drawn(5)],
                 roles[of].units[u].head);
    }
    for (int r = 0; r < 3; r++) {
        size_t used = strlen(d->table);
        snprintf(d->table + used, sizeof d->table - used, "\n2026-05-16 10:%02d", 15 + r);
        for (size_t c = 0; c < columns; c++) {
            used = strlen(d->table);
            snprintf(d->table + used, sizeof d->table - used, ",%zu.%d", 11 + 3 * c, r + 1);
        }
    }
    strcat(d->table, "\n");
    for (size_t i = 0; i < ROLES; i++)
        if (i < 2 || drawn(3) > 0)
            d->role[d->count++] = i;
    shuffle(d->role, d->count);
    for (size_t ch = 0; ch < d->count; ch++) {
        size_t of = d->role[ch], used = strlen(d->channels);
        d->named[ch] = drawn(2);
        if (d->named[ch])
            snprintf(d->channels + used, sizeof d->channels - used, "[channel %s]\nunit = %s\n",
                     roles[of].role, roles[of].unit);
        else
            snprintf(d->channels + used, sizeof d->channels - used,
                     "[channel q%zu]\nrole = %s\nunit = %s\n", ch, roles[of].role, roles[of].unit);
    }
}

static nr_code match(const char *text, const char *channels, const char *const *maps, size_t count)
{
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(channels, strlen(channels), "rig.ini", NR_RIG_FOR_READINGS, &rig,
                               NULL, &err) == NR_OK,
                  "%s\n%s", err.text, channels);
    ck_assert_msg(read_times(&l, text, "", "", "UTC") == NR_OK, "%s\n%s", l.err.text, text);
    return nr_match_columns(&l.table, &l.plan, &rig, maps, count, &out, &l.said, &l.err);
}

START_TEST(its_own_column)
{
    static drawn_case d;
    for (int pass = 0; pass < 150; pass++) {
        draw_case(&d);
        size_t matched = 0;
        for (size_t ch = 0; ch < d.count; ch++)
            matched += d.column[d.role[ch]] != NR_NO_COLUMN;
        nr_code code = match(d.table, d.channels, NULL, 0);
        ck_assert_msg(code == (matched > 0 ? NR_OK : NR_BAD), "%s\n%s%s", l.err.text, d.table,
                      d.channels);
        for (size_t ch = 0; ch < d.count && matched > 0; ch++) {
            size_t of = d.role[ch], wanted = d.column[of];
            const nr_matched *m = &out.of[ch];
            ck_assert_msg(m->column == wanted, "%s: column %zu for %zu (%s)\n%s%s", roles[of].role,
                          m->column + 1, wanted + 1, m->why, d.table, d.channels);
            ck_assert_msg(wanted != NR_NO_COLUMN || !m->why[0], "%s", m->why);
            if (wanted == NR_NO_COLUMN)
                continue;
            ck_assert_int_eq(m->unit.measure, NR_MEASURE_UNIT);
            ck_assert_str_eq(m->unit.unit->name, roles[of].units[d.unit[of]].name);
            ck_assert(!m->by_law && m->why[0]);
            ck_assert_str_eq(nr_match_channel_role(&rig.channel[ch]), roles[of].role);
        }
        for (size_t ch = d.count; ch < NR_RIG_CHANNELS; ch++)
            ck_assert(out.of[ch].column == NR_NO_COLUMN);
        for (size_t of = 0; of < ROLES; of++)
            if (d.column[of] != NR_NO_COLUMN) {
                const char *role = nr_match_role(&l.table.column[d.column[of]]);
                ck_assert_msg(role && strcmp(role, roles[of].role) == 0, "%s is %s",
                              l.table.column[d.column[of]].head, role ? role : "nothing");
            }
        forget(&l);
    }
}
END_TEST

/* Three rows of a table with this head: 20, 21, 22 in the first column and one more in each. */
static const char *rows_of(const char *head)
{
    static char text[1000];
    size_t columns = 0;
    for (const char *p = head; *p; p++)
        columns += *p == ',';
    snprintf(text, sizeof text, "%s", head);
    for (int r = 0; r < 3; r++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "\n2026-05-16 10:%02d", 15 + r);
        for (size_t c = 0; c < columns; c++) {
            used = strlen(text);
            snprintf(text + used, sizeof text - used, ",%zu", 20 + c + (size_t)r);
        }
    }
    strcat(text, "\n");
    return text;
}

START_TEST(refusals)
{
    static const struct {
        const char *head, *channels, *map[2], *words;
    } of[] = {
        {"Time,Tank (C),Tank (C),Mug",
         "store=degC",
         {"Tank (C)=store"},
         "--map: 2 columns are called \"Tank (C)\"; name it by its number, from 1"},
        {"Time,Tank (C),Mug",
         "store=degC",
         {"Pan=store"},
         "--map: there is no column \"Pan\"; there are: Time, Tank (C), Mug"},
        {"Time,Tank (C),Mug",
         "store=degC air=degC",
         {"Mug=pot"},
         "--map: the rig has no channel \"pot\"; it has: store, air"},
        {"Time,Tank (C),Mug",
         "store=degC",
         {"Mug"},
         "--map wants COLUMN=CHANNEL, such as \"Tank (F)=store\" or 2=store"},
        {"Time,Tank (C),Mug",
         "store=degC",
         {"=store"},
         "--map wants COLUMN=CHANNEL, such as \"Tank (F)=store\" or 2=store"},
        {"Time,Tank (C),Mug",
         "store=degC",
         {"3=store yards"},
         "--map \"3=store yards\": the unit is not known"},
        {"Time,Tank (C),Mug",
         "store=degC air=degC",
         {"2=store", "2=air"},
         "--map names the same column or channel twice: \"2=air\""},
        {"Time,Tank (C),Mug",
         "store=degC air=degC",
         {"2=store", "3=store"},
         "--map names the same column or channel twice: \"3=store\""},
        {"Time,Tank (C),Mug (W/m2)",
         "store=degC air=degC",
         {"3=air"},
         "--map: column 3 is in W_m2, but the channel air is in degC (a unit may follow: --map "
         "\"3=air degC\")"},
        {"Time,Tank top (C),Tank bottom (C)",
         "store=degC air=degC",
         {NULL},
         "two columns can be the channel store: \"Tank top (C)\" and \"Tank bottom (C)\"; say "
         "which: --map \"Tank top (C)=store\" or --map \"Tank bottom (C)=store\""},
        {"Time,Tank (C),Tank (C)",
         "store=degC air=degC",
         {NULL},
         "two columns can be the channel store: \"2\" and \"3\"; say which: --map \"2=store\" or "
         "--map \"3=store\""},
        {"Time,Probe (C)",
         "store=degC air=degC",
         {NULL},
         "the column \"Probe (C)\" can be the channel store or air; say which: --map \"Probe "
         "(C)=store\" or --map \"Probe (C)=air\" (--map \"Probe (C)=\" leaves it out)"},
        {"Time,Probe 1 (C),Probe 2 (C)",
         "store=degC sun=W_m2",
         {NULL},
         "two columns can be the channel store: \"Probe 1 (C)\" and \"Probe 2 (C)\"; say which: "
         "--map \"Probe 1 (C)=store\" or --map \"Probe 2 (C)=store\""},
        {"Time,Mug,Pan (kPa)",
         "store=degC air=degC",
         {NULL},
         "no column can be told to be one of the rig's channels; the columns are: Mug, Pan (kPa). "
         "Say it: --map \"COLUMN=store\" (a column also by its number, from 1)"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char channels[300] = "", copy[100], *rest = copy;
        snprintf(copy, sizeof copy, "%s", of[i].channels);
        for (char *one; (one = strsep(&rest, " ")) != NULL;) {
            size_t used = strlen(channels), cut = strcspn(one, "=");
            snprintf(channels + used, sizeof channels - used, "[channel %.*s]\nunit = %s\n",
                     (int)cut, one, one + cut + 1);
        }
        size_t maps = of[i].map[1] ? 2 : of[i].map[0] ? 1 : 0;
        ck_assert_msg(match(rows_of(of[i].head), channels, of[i].map, maps) == NR_BAD, "%s",
                      of[i].head);
        ck_assert_str_eq(l.err.text, of[i].words);
        forget(&l);
    }
}
END_TEST

/* What the user says goes before any word, with or without a unit; "-" and nothing leave a column
 * out. */
START_TEST(maps)
{
    static const char two[] = "[channel air]\nunit = degC\n[channel store]\nunit = degC\n";
    static const char *const map[] = {"2 = air degF", " 3=", "Mug=store"};
    ck_assert_msg(match(rows_of("Time,Tank (C),Air (C),Mug"), two, map, 3) == NR_OK, "%s",
                  l.err.text);
    ck_assert(out.of[0].column == 1 && out.of[1].column == 3);
    ck_assert_str_eq(out.of[0].unit.unit->name, "degF");
    ck_assert_int_eq(out.of[1].unit.measure, NR_MEASURE_NONE);
    ck_assert(!strcmp(out.of[0].why, "--map") && !strcmp(out.of[1].why, "--map"));
    forget(&l);
    static const char *const left[] = {"Air (C)=-", "1=-"};
    ck_assert_msg(match(rows_of("Time,Tank (C),Air (C),Ambient (C)"), two, left, 2) == NR_OK, "%s",
                  l.err.text);
    ck_assert(out.of[0].column == 3 && out.of[1].column == 1);
    forget(&l);
    /* 64 of them and no more. */
    const char *many[NR_MAPS + 1];
    for (size_t i = 0; i <= NR_MAPS; i++)
        many[i] = "9=";
    ck_assert(match(rows_of("Time,Tank (C)"), two, many, NR_MAPS + 1) == NR_BAD);
    ck_assert_str_eq(l.err.text, "--map: at most 64");
    forget(&l);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {its_own_column, refusals, maps, NULL};
    return run_tests("match_drawn", tests);
}
