/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference adapter's pure parts on this machine. Sources stand beside the checks; what has
 * none follows from the definition that the header gives. */
#include "logger/adapter/core/meter.h"
#include "logger/adapter/core/onewire.h"
#include "logger/adapter/core/out.h"
#include "logger/adapter/core/reading.h"
#include "logger/adapter/core/request.h"
#include "logger/adapter/core/scale.h"
#include "logger/adapter/core/settings.h"
#include "logger/run/rig.h"
#include "logger/wire/fields.h"

#include "tests/unit/near.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* --- a sink -------------------------------------------------------------------------------- */

typedef struct text {
    size_t length;
    char text[1200];
} text;

static void put(void *context, char c)
{
    text *t = context;
    ck_assert(t->length + 1 < sizeof t->text);
    t->text[t->length++] = c;
    t->text[t->length] = '\0';
}

static nr_fw_out sink(text *t)
{
    *t = (text){0};
    return (nr_fw_out){.put = put, .context = t};
}

/* --- numbers ------------------------------------------------------------------------------- */

START_TEST(test_fixed)
{
    static const struct {
        int32_t value;
        uint8_t decimals;
        const char *text;
    } cases[] = {{0, 0, "0"},
                 {0, 4, "0.0000"},
                 {7, 3, "0.007"},
                 {-5, 2, "-0.05"},
                 {-625, 4, "-0.0625"},
                 {215000, 4, "21.5000"},
                 {INT32_MAX, 3, "2147483.647"},
                 {INT32_MIN, 0, "-2147483648"},
                 {INT32_MIN, 9, "-2.147483648"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        text t;
        nr_fw_out out = sink(&t);
        nr_fw_out_fixed(&out, cases[i].value, cases[i].decimals);
        ck_assert_str_eq(t.text, cases[i].text);
    }
}
END_TEST

/* Against the C library, over the whole range. */
START_TEST(test_fixed_as_printf)
{
    srand(20);
    for (int i = 0; i < 20000; i++) {
        int32_t value = (int32_t)((uint32_t)rand() << 16 ^ (uint32_t)rand()) >> (rand() % 31);
        char wanted[32];
        text t;
        nr_fw_out out = sink(&t);
        snprintf(wanted, sizeof wanted, "%.3f", value / 1000.0);
        nr_fw_out_fixed(&out, value, 3);
        ck_assert_str_eq(t.text, wanted);
    }
    text t;
    nr_fw_out out = sink(&t);
    nr_fw_out_u32(&out, UINT32_MAX);
    ck_assert_str_eq(t.text, "4294967295");
}
END_TEST

/* NMEA 0183's example of its checksum, and a line as ADAPTER.md writes it. */
START_TEST(test_checksum)
{
    static const char *const lines[][2] = {{"GPGLL,5057.970,N,00146.110,E,142451,A", "27"},
                                           {"store=21.50,inlet=19.81,sun=812", "6C"},
                                           {"", "00"}};
    for (size_t i = 0; i < 3; i++) {
        text t;
        char wanted[80];
        nr_fw_out out = sink(&t);
        nr_fw_out_text(&out, "earlier"); /* does not count */
        nr_fw_out_begin(&out);
        t.length = 0;
        nr_fw_out_text(&out, lines[i][0]);
        nr_fw_out_checked_end(&out);
        snprintf(wanted, sizeof wanted, "%s*%s\n", lines[i][0], lines[i][1]);
        ck_assert_str_eq(t.text, wanted);
    }
}
END_TEST

/* --- 1-Wire -------------------------------------------------------------------------------- */

/* The check value of CRC-8/MAXIM-DOW in the public catalogue of parametrised CRC algorithms; the
 * example of application note 27; a thermometer's memory after power-on. */
START_TEST(test_crc)
{
    static const uint8_t note[] = {0x02, 0x1C, 0xB8, 0x01, 0, 0, 0, 0xA2};
    static const uint8_t memory[] = {0x50, 0x05, 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10, 0x1C};
    ck_assert_uint_eq(nr_fw_crc8((const uint8_t *)"123456789", 9), 0xA1);
    ck_assert_uint_eq(nr_fw_crc8(note, 7), 0xA2);
    ck_assert_uint_eq(nr_fw_crc8(note, 8), 0);
    ck_assert_uint_eq(nr_fw_crc8(memory, 8), 0x1C);
    ck_assert_uint_eq(nr_fw_crc8(memory, 9), 0);
    ck_assert_uint_eq(nr_fw_crc8(note, 0), 0);
}
END_TEST

/* Temperatures of the thermometer's public data sheet (table of temperature and data). */
START_TEST(test_memory)
{
    static const struct {
        uint16_t data;
        double degC;
    } known[] = {{0x07D0, 125},      {0x0550, 85}, {0x0191, 25.0625}, {0x00A2, 10.125},
                 {0x0008, 0.5},      {0x0000, 0},  {0xFFF8, -0.5},    {0xFF5E, -10.125},
                 {0xFE6F, -25.0625}, {0xFC90, -55}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        uint8_t m[9] = {(uint8_t)(known[i].data & 0xFF),
                        (uint8_t)(known[i].data >> 8),
                        0x4B,
                        0x46,
                        0x7F,
                        0xFF,
                        0x0C,
                        0x10,
                        0};
        int16_t got = 1;
        m[8] = nr_fw_crc8(m, 8);
        ck_assert_int_eq(nr_fw_memory_read(m, &got), NR_FW_MEMORY_GOOD);
        ck_assert_int_eq(got, (int)(known[i].degC * 16));
        m[i % 9] ^= 0x20;
        ck_assert_int_eq(nr_fw_memory_read(m, &got), NR_FW_MEMORY_DAMAGED);
        m[i % 9] ^= 0x20;
        m[4] = 0x5F; /* 11 bits */
        m[8] = nr_fw_crc8(m, 8);
        ck_assert_int_eq(nr_fw_memory_read(m, &got), NR_FW_MEMORY_COARSE);
    }
    uint8_t ones[9], zeros[9] = {0};
    int16_t got = 1;
    memset(ones, 0xFF, sizeof ones);
    ck_assert_int_eq(nr_fw_memory_read(ones, &got), NR_FW_MEMORY_ABSENT);
    ck_assert_int_eq(nr_fw_memory_read(zeros, &got), NR_FW_MEMORY_DAMAGED);
    ck_assert_int_eq(got, 1);
}
END_TEST

/* A bus of identities, wired-and, that drop out as the search takes the other branch. */
typedef struct bus {
    int count;
    uint8_t rom[NR_FW_PROBES][NR_FW_ROM];
    bool in[NR_FW_PROBES];
} bus;

static bool place(const bus *b, int i, int bit)
{
    return b->rom[i][bit / 8] >> (bit % 8) & 1;
}

static nr_fw_found search_pass(bus *b, nr_fw_search *s)
{
    for (int i = 0; i < b->count; i++)
        b->in[i] = true;
    nr_fw_search_begin(s);
    for (int bit = 0; bit < 64 && !s->lost; bit++) {
        bool direct = true, complement = true;
        for (int i = 0; i < b->count; i++) {
            direct = direct && (!b->in[i] || place(b, i, bit));
            complement = complement && (!b->in[i] || !place(b, i, bit));
        }
        bool branch = nr_fw_search_bit(s, direct, complement);
        for (int i = 0; i < b->count; i++)
            b->in[i] = b->in[i] && place(b, i, bit) == branch;
    }
    return nr_fw_search_end(s);
}

static void random_rom(uint8_t rom[NR_FW_ROM], int alike)
{
    rom[0] = NR_FW_FAMILY;
    for (int i = 1; i < 7; i++)
        rom[i] = (uint8_t)(i <= alike ? 0x11 : rand());
    rom[7] = nr_fw_crc8(rom, 7);
}

static unsigned meet_all(bus *b, nr_fw_search *s)
{
    unsigned met = 0;
    for (int pass = 0; pass < b->count; pass++) {
        nr_fw_found found = search_pass(b, s);
        ck_assert_int_eq(found, pass + 1 < b->count ? NR_FW_FOUND : NR_FW_FOUND_LAST);
        for (int i = 0; i < b->count; i++)
            if (memcmp(b->rom[i], s->rom, NR_FW_ROM) == 0)
                met |= 1u << i;
    }
    return met;
}

/* Every one is met once a turn, however alike they are, and a second turn is as the first. */
START_TEST(test_search)
{
    srand(7);
    for (int trial = 0; trial < 500; trial++) {
        bus b = {.count = 1 + trial % NR_FW_PROBES};
        nr_fw_search s = {0};
        for (int i = 0; i < b.count; i++)
            random_rom(b.rom[i], trial % 5);
        for (int turn = 0; turn < 2; turn++)
            ck_assert_uint_eq(meet_all(&b, &s), (1u << b.count) - 1);
    }
}
END_TEST

/* Nobody, a shorted wire, a probe pulled in the middle: nothing is found, and the next turn is
 * whole again. */
START_TEST(test_search_trouble)
{
    bus b = {.count = 3};
    nr_fw_search s = {0};
    srand(11);
    for (int i = 0; i < 3; i++)
        random_rom(b.rom[i], 0);
    ck_assert_int_eq(search_pass(&b, &s), NR_FW_FOUND);
    b.count = 0;
    ck_assert_int_eq(search_pass(&b, &s), NR_FW_FOUND_NONE);
    ck_assert(s.lost);
    b.count = 3;
    ck_assert_uint_eq(meet_all(&b, &s), 7);
    nr_fw_search_begin(&s);
    for (int bit = 0; bit < 64; bit++)
        nr_fw_search_bit(&s, false, false); /* low for ever: forks everywhere */
    ck_assert_int_eq(nr_fw_search_end(&s), NR_FW_FOUND_NONE);
    b.rom[0][3] ^= 4; /* answers, but its CRC is wrong */
    b.count = 1;
    ck_assert_int_eq(search_pass(&b, &s), NR_FW_FOUND_NONE);
}
END_TEST

START_TEST(test_probes_add)
{
    nr_fw_probes probes = {0};
    uint8_t rom[NR_FW_ROM];
    srand(3);
    for (int i = 0; i < NR_FW_PROBES; i++) {
        random_rom(rom, 0);
        ck_assert(nr_fw_probes_add(&probes, rom));
        ck_assert(nr_fw_probes_add(&probes, rom)); /* known already */
        ck_assert_int_eq(probes.count, i + 1);
    }
    random_rom(rom, 0);
    ck_assert(!nr_fw_probes_add(&probes, rom)); /* the thirteenth */
    probes.count = 0;
    rom[0] = 0x10; /* another kind of thermometer, whose numbers mean something else */
    ck_assert(!nr_fw_probes_add(&probes, rom));
}
END_TEST

START_TEST(test_power_on_value)
{
    static const struct {
        bool known;
        double before, now;
        bool believed;
    } cases[] = {{true, 20, 85, false},      {false, 85, 85, false},    {true, 80, 85, true},
                 {true, 79.9375, 85, false}, {true, 90, 85, true},      {true, 90.0625, 85, false},
                 {true, 20, 84.9375, true},  {false, 0, 85.0625, true}, {true, 85, 85, true}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        nr_fw_probe p = {.known = cases[i].known, .sixteenths = (int16_t)(cases[i].before * 16)};
        nr_fw_probe_take(&p, NR_FW_MEMORY_GOOD, (int16_t)(cases[i].now * 16));
        ck_assert_msg(p.known == cases[i].believed, "%g after %g", cases[i].now, cases[i].before);
    }
    nr_fw_probe p = {.known = true};
    nr_fw_probe_take(&p, NR_FW_MEMORY_DAMAGED, 320);
    ck_assert(!p.known);
}
END_TEST

/* --- requests ------------------------------------------------------------------------------ */

static bool ask(const char *line, nr_fw_request *out)
{
    nr_fw_request_reader reader = {0};
    bool got = false;
    for (const char *p = line; *p; p++)
        got = nr_fw_request_take(&reader, *p, out) || got;
    return got;
}

START_TEST(test_requests)
{
    static const struct {
        const char *line;
        char letter; /* 0: not a request */
        bool has_number;
        uint16_t number;
    } cases[] = {
        {"i\n", 'i', false, 0},       {"e5\n", 'e', true, 5},    {" e 60 \r\n", 'e', true, 60},
        {"r1083\r", 'r', true, 1083}, {"e0\n", 'e', true, 0},    {"e9999\n", 'e', true, 9999},
        {"?\n", '?', false, 0},       {"e10000\n", 0, false, 0}, {"5\n", 0, false, 0},
        {"ie\n", 0, false, 0},        {"e5 5\n", 0, false, 0},   {"e-5\n", 0, false, 0},
        {"5e\n", 0, false, 0},        {"\x80i\n", 0, false, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        nr_fw_request q = {.letter = 'x'};
        ck_assert_msg(ask(cases[i].line, &q), "%s", cases[i].line);
        ck_assert_int_eq(q.letter, cases[i].letter);
        ck_assert_int_eq(q.has_number, cases[i].has_number);
        ck_assert_uint_eq(q.number, cases[i].number);
    }
    nr_fw_request q;
    ck_assert(!ask("\n\r\n  \n", &q));
    ck_assert(!ask("e5", &q)); /* not ended yet */
    nr_fw_request_reader reader = {0};
    for (const char *p = "!!\ne7"; *p; p++) /* noise spoils its own line only */
        (void)nr_fw_request_take(&reader, *p, &q);
    ck_assert(nr_fw_request_take(&reader, '\n', &q));
    ck_assert_int_eq(q.letter, 'e');
    ck_assert_uint_eq(q.number, 7);
}
END_TEST

START_TEST(test_settings)
{
    nr_fw_settings s = nr_fw_settings_default(), back;
    uint8_t bytes[NR_FW_SETTINGS], blank[NR_FW_SETTINGS] = {0xFF, 0xFF, 0xFF, 0xFF};
    ck_assert(!nr_fw_settings_interval(&s, 0) && !nr_fw_settings_interval(&s, 61));
    ck_assert(nr_fw_settings_interval(&s, 1) && nr_fw_settings_interval(&s, 60));
    ck_assert(!nr_fw_settings_reference(&s, 999) && !nr_fw_settings_reference(&s, 1201));
    ck_assert(nr_fw_settings_reference(&s, 1000) && nr_fw_settings_reference(&s, 1200));
    nr_fw_settings_pack(&s, bytes);
    back = nr_fw_settings_unpack(bytes);
    ck_assert(back.interval_s == 60 && back.reference_mV == 1200);
    bytes[1] ^= 1; /* a write that was cut */
    back = nr_fw_settings_unpack(bytes);
    ck_assert(back.interval_s == 1 && back.reference_mV == 1100);
    back = nr_fw_settings_unpack(blank);
    ck_assert(back.interval_s == 1 && back.reference_mV == 1100);
    memset(blank, 0, sizeof blank); /* whose CRC is right */
    back = nr_fw_settings_unpack(blank);
    ck_assert(back.interval_s == 1 && back.reference_mV == 1100);
}
END_TEST

/* --- the converter ------------------------------------------------------------------------- */

/* Exact in rational numbers: sum / (1024 * 100) of the reference. */
START_TEST(test_scale)
{
    for (uint32_t sum = 0; sum <= 102300; sum += 7) {
        NEAR(nr_fw_share(sum), sum / 102400.0 * 65536.0, 0.5001);
        NEAR(nr_fw_microvolt(sum, 1100), sum / 102400.0 * 1.1e6, 0.5001);
        NEAR(nr_fw_microvolt(sum, 1300), sum / 102400.0 * 1.3e6, 0.5001);
    }
    ck_assert_uint_eq(nr_fw_share(51200), 32768);
    ck_assert(!nr_fw_share_wired(0) && !nr_fw_share_wired(64) && nr_fw_share_wired(65));
    ck_assert(!nr_fw_share_wired(nr_fw_share(102300)));
    ck_assert(!nr_fw_share_wired(65536 - 512) && nr_fw_share_wired(65536 - 513));
}
END_TEST

/* --- flow meters --------------------------------------------------------------------------- */

#define SECOND 2000000u /* ticks */

START_TEST(test_meter)
{
    nr_fw_meter m = {0};
    nr_fw_flow f = nr_fw_meter_take(&m, (nr_fw_edges){0, 0}, SECOND);
    ck_assert_uint_eq(f.pulses, 0);
    ck_assert_uint_eq(f.millihertz, 0);
    /* The first pulses tell no period: nobody knows how long the first of them took. */
    f = nr_fw_meter_take(&m, (nr_fw_edges){7, SECOND * 3 / 2}, SECOND * 2);
    ck_assert_uint_eq(f.pulses, 7);
    ck_assert_uint_eq(f.millihertz, 0);
    /* 8 pulses in 0.9 s: 8.889 Hz, though 8 fell into the second. */
    f = nr_fw_meter_take(&m, (nr_fw_edges){15, SECOND * 12 / 5}, SECOND * 3);
    ck_assert_uint_eq(f.pulses, 8);
    ck_assert_uint_eq(f.millihertz, 8889);
    /* None for 1.6 s: at most one in that time. */
    f = nr_fw_meter_take(&m, (nr_fw_edges){15, SECOND * 12 / 5}, SECOND * 4);
    ck_assert_uint_eq(f.pulses, 0);
    ck_assert_uint_eq(f.millihertz, 625);
    /* Below 5 s since the last edge: not still yet; at 5 s: still. */
    f = nr_fw_meter_take(&m, (nr_fw_edges){15, SECOND * 12 / 5}, SECOND * 37 / 5 - 1);
    ck_assert_uint_eq(f.millihertz, 200);
    f = nr_fw_meter_take(&m, (nr_fw_edges){15, SECOND * 12 / 5}, SECOND * 37 / 5);
    ck_assert_uint_eq(f.millihertz, 0);
    f = nr_fw_meter_take(&m, (nr_fw_edges){16, SECOND * 8}, SECOND * 8);
    ck_assert_uint_eq(f.millihertz, 0); /* begins again */
    f = nr_fw_meter_take(&m, (nr_fw_edges){17, SECOND * 17 / 2}, SECOND * 9);
    ck_assert_uint_eq(f.millihertz, 2000);
}
END_TEST

/* Both counters go past their end. */
START_TEST(test_meter_wraps)
{
    nr_fw_meter m = {0};
    uint32_t near_end = UINT32_MAX - SECOND / 2;
    nr_fw_meter_take(&m, (nr_fw_edges){65530, near_end}, near_end);
    nr_fw_flow f = nr_fw_meter_take(&m, (nr_fw_edges){14, near_end + SECOND}, near_end + SECOND);
    ck_assert_uint_eq(f.pulses, 20);
    ck_assert_uint_eq(f.millihertz, 20000);
}
END_TEST

/* --- the line ------------------------------------------------------------------------------ */

static void full_reading(nr_fw_probes *probes, nr_fw_reading *r)
{
    srand(5);
    *probes = (nr_fw_probes){0};
    for (int i = 0; i < NR_FW_PROBES; i++) {
        uint8_t rom[NR_FW_ROM];
        random_rom(rom, 0);
        nr_fw_probes_add(probes, rom);
        probes->probe[i].known = true;
        probes->probe[i].sixteenths = -55 * 16 + 1; /* the longest: -54.9375 */
    }
    *r = (nr_fw_reading){.ms = UINT32_MAX,
                         .bus = NR_FW_BUS_SHORT,
                         .reset = NR_FW_RESET_BROWN_OUT,
                         .share_sum = {102000, 102000, 102300, 102300},
                         .volt_sum = {102300, 102300},
                         .flow = {{65535, 99999999}, {65535, 99999999}}};
}

/* The longest line fits into the ring that sends it (512), and noonlog's own reader takes it. */
START_TEST(test_longest_line)
{
    nr_fw_probes probes;
    nr_fw_reading r;
    nr_fw_settings settings = {.interval_s = 1, .reference_mV = 1200};
    full_reading(&probes, &r);
    text t;
    nr_fw_out out = sink(&t);
    nr_fw_reading_write(&out, &r, &probes, &settings);
    ck_assert_uint_gt(t.length, 450);
    ck_assert_uint_lt(t.length, 512);
    nr_rig_adapter format = {.line = NR_LINE_PAIRS, .separator = ',', .checksum = NR_CHECKSUM_XOR8};
    nr_fields f;
    ck_assert_int_eq(t.text[t.length - 1], '\n');
    ck_assert_int_eq(nr_fields_split(&format, t.text, t.length - 1, &f), NR_LINE_GOOD);
    ck_assert_uint_eq(f.count, 1 + 12 + 4 + 2 + 4 + 2);
    double value;
    ck_assert(nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "ms"), &value));
    ck_assert(value == 4294967295.0);
    ck_assert(nr_field_number(&f.field[12], &value) && value == -54.9375);
    ck_assert(nr_field_number(nr_fields_find(&f, NR_LINE_PAIRS, "hz2"), &value));
    ck_assert(value == 99999.999);
}
END_TEST

/* What is not known is left empty; what is in order is not talked about. */
START_TEST(test_quiet_line)
{
    nr_fw_probes probes = {.count = 1,
                           .probe = {{.rom = {0x28, 1, 2, 3, 4, 5, 6, 7}, .known = false}}};
    nr_fw_reading r = {.ms = 12000, .share_sum = {51200, 102300, 0, 25600}, .volt_sum = {0, 512}};
    nr_fw_settings settings = nr_fw_settings_default();
    text t;
    nr_fw_out out = sink(&t);
    nr_fw_reading_write(&out, &r, &probes, &settings);
    *strchr(t.text, '*') = '\0';
    ck_assert_str_eq(t.text, "ms=12000,2801020304050607=,ntc1=32768,ntc2=,div1=0,div2=16384,"
                             "cell=0.000,pump=5.500,pulses1=0,hz1=0.000,pulses2=0,hz2=0.000");
    r.bus = NR_FW_BUS_EMPTY;
    out = sink(&t);
    nr_fw_reading_write(&out, &r, &probes, &settings);
    ck_assert_ptr_nonnull(strstr(t.text, ",bus=empty*"));
    probes.count = 0; /* an adapter without probes misses none */
    out = sink(&t);
    nr_fw_reading_write(&out, &r, &probes, &settings);
    ck_assert_ptr_null(strstr(t.text, "bus="));
}
END_TEST

START_TEST(test_answers)
{
    nr_fw_probes probes;
    nr_fw_reading r;
    nr_fw_health health = {.stack_free = 900, .parasite = true};
    text t;
    nr_fw_out out = sink(&t);
    full_reading(&probes, &r);
    nr_fw_identify(&out, &probes, &health);
    nr_fw_settings_write(&out, &(nr_fw_settings){.interval_s = 5, .reference_mV = 1083});
    nr_fw_help(&out);
    int lines = 0, named = 0;
    for (char *line = strtok(t.text, "\n"); line; line = strtok(NULL, "\n")) {
        ck_assert_int_eq(line[0], '#'); /* never data */
        lines++;
        named += strncmp(line, "# probe 28", 10) == 0 && strlen(line) == 8 + 16;
    }
    ck_assert_int_eq(named, NR_FW_PROBES);
    ck_assert_int_eq(lines, NR_FW_PROBES + 4 + 2);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_fixed,          test_fixed_as_printf,
                                  test_checksum,       test_crc,
                                  test_memory,         test_search,
                                  test_search_trouble, test_probes_add,
                                  test_power_on_value, test_requests,
                                  test_settings,       test_scale,
                                  test_meter,          test_meter_wraps,
                                  test_longest_line,   test_quiet_line,
                                  test_answers,        NULL};
    return run_tests("firmware", tests);
}
