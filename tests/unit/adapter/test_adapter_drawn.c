/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference adapter's arithmetic and lines on drawn and on all short inputs, each worked out
 * with the host's floating point, its printf or by the grammar. */
#include "logger/adapter/core/meter.h"
#include "logger/adapter/core/reading.h"
#include "logger/adapter/core/request.h"
#include "logger/adapter/core/scale.h"
#include "logger/adapter/core/settings.h"
#include "tests/unit/near.h"

static char text[1500];
static size_t length;
static unsigned seed = 760105;

static void put(void *context, char c)
{
    (void)context;
    ck_assert(length + 1 < sizeof text);
    text[length++] = c;
    text[length] = '\0';
}

static nr_fw_out sink(void)
{
    length = 0;
    text[0] = '\0';
    return (nr_fw_out){.put = put};
}

static uint32_t drawn(uint32_t below)
{
    return ((uint32_t)rand_r(&seed) << 16 ^ (uint32_t)rand_r(&seed)) % below;
}

/* --- the line --------------------------------------------------------------------------------- */

static void probes_of(nr_fw_probes *probes, uint8_t count)
{
    memset(probes, 0, sizeof *probes);
    for (uint8_t i = 0; i < count; i++) {
        uint8_t rom[NR_FW_ROM] = {NR_FW_FAMILY};
        for (int k = 1; k < NR_FW_ROM; k++)
            rom[k] = (uint8_t)drawn(256);
        ck_assert(nr_fw_probes_add(probes, rom));
        ck_assert(nr_fw_probes_add(probes, rom)); /* it is there already */
        ck_assert_uint_eq(probes->count, i + 1);
        probes->probe[i].known = drawn(4) > 0;
        probes->probe[i].sixteenths = (int16_t)((int)drawn(4000) - 1000);
    }
}

static void line_of(const nr_fw_reading *r, const nr_fw_probes *probes, uint16_t reference_mV,
                    char *out, size_t size)
{
    static const char *const shares[] = {"ntc1", "ntc2", "div1", "div2"},
                             *const volts[] = {"cell", "pump"},
                             *const resets[] = {"", "power", "button", "brown-out", "watchdog"};
    size_t used = (size_t)snprintf(out, size, "ms=%lu", (unsigned long)r->ms);
    for (uint8_t i = 0; i < probes->count; i++) {
        used += (size_t)snprintf(out + used, size - used, ",");
        for (int k = 0; k < 8; k++)
            used += (size_t)snprintf(out + used, size - used, "%02X", probes->probe[i].rom[k]);
        used += (size_t)snprintf(out + used, size - used, "=");
        if (probes->probe[i].known)
            used += (size_t)snprintf(out + used, size - used, "%.4f",
                                     probes->probe[i].sixteenths / 16.0);
    }
    for (int i = 0; i < 4; i++) {
        /* 65536 is all of a hundred readings of 1024 */
        double share = floor(r->share_sum[i] * 65536.0 / 102400 + 0.5);
        used += (size_t)snprintf(out + used, size - used, ",%s=", shares[i]);
        if (i > 1 || (share > 64 && share < 65536 - 512))
            used += (size_t)snprintf(out + used, size - used, "%.0f", share);
    }
    for (int i = 0; i < 2; i++)
        used +=
            (size_t)snprintf(out + used, size - used, ",%s=%.3f", volts[i],
                             floor(r->volt_sum[i] * 1000.0 * reference_mV / 102400 + 0.5) / 1000);
    for (int i = 0; i < 2; i++)
        used +=
            (size_t)snprintf(out + used, size - used, ",pulses%d=%u,hz%d=%.3f", i + 1,
                             (unsigned)r->flow[i].pulses, i + 1, r->flow[i].millihertz / 1000.0);
    if (r->bus == NR_FW_BUS_SHORT || (r->bus == NR_FW_BUS_EMPTY && probes->count > 0))
        used += (size_t)snprintf(out + used, size - used, ",bus=%s",
                                 r->bus == NR_FW_BUS_SHORT ? "short" : "empty");
    if (r->reset)
        used += (size_t)snprintf(out + used, size - used, ",reset=%s", resets[r->reset]);
    unsigned sum = 0;
    for (size_t i = 0; i < used; i++)
        sum ^= (unsigned char)out[i];
    snprintf(out + used, size - used, "*%02X\n", sum);
}

START_TEST(lines)
{
    for (int k = 0; k < 150; k++) {
        static nr_fw_probes probes;
        nr_fw_settings settings = {.interval_s = 1, .reference_mV = (uint16_t)(1000 + drawn(201))};
        nr_fw_reading r = {
            .ms = drawn(UINT32_MAX), .bus = (nr_fw_bus)(k % 3), .reset = (nr_fw_reset)(k % 5)};
        char expected[1500];
        probes_of(&probes, (uint8_t)(k % 13));
        for (int i = 0; i < 4; i++)
            r.share_sum[i] = k % 6 == i   ? drawn(210)
                             : k % 7 == i ? 102300 - drawn(900)
                                          : drawn(102301);
        for (int i = 0; i < 2; i++) {
            r.volt_sum[i] = drawn(102301);
            r.flow[i] = (nr_fw_flow){(uint16_t)drawn(65536), drawn(2000000)};
        }
        line_of(&r, &probes, settings.reference_mV, expected, sizeof expected);
        nr_fw_out out = sink();
        nr_fw_reading_write(&out, &r, &probes, &settings);
        ck_assert_str_eq(text, expected);
    }
}
END_TEST

START_TEST(answers)
{
    static nr_fw_probes probes;
    char expected[1500];
    for (uint8_t n = 0; n < 3; n++) {
        nr_fw_health health = {.stack_free = 1234, .parasite = n == 1};
        probes_of(&probes, n);
        size_t used = (size_t)snprintf(expected, sizeof expected, "# noonrun adapter 1\n");
        for (uint8_t i = 0; i < n; i++) {
            used += (size_t)snprintf(expected + used, sizeof expected - used, "# probe ");
            for (int k = 0; k < 8; k++)
                used += (size_t)snprintf(expected + used, sizeof expected - used, "%02X",
                                         probes.probe[i].rom[k]);
            used += (size_t)snprintf(expected + used, sizeof expected - used, "\n");
        }
        snprintf(expected + used, sizeof expected - used,
                 "# probes %s\n# stack 1234 bytes never used\n# end\n",
                 n == 1 ? "fed by the data wire" : "with a supply of their own");
        nr_fw_out out = sink();
        nr_fw_identify(&out, &probes, &health);
        ck_assert_str_eq(text, expected);
    }
    nr_fw_out out = sink();
    nr_fw_settings_write(&out, &(nr_fw_settings){.interval_s = 12, .reference_mV = 1087});
    ck_assert_str_eq(text, "# interval 12 s, reference 1087 mV\n");
}
END_TEST

/* Twelve probes, and of that family. */
START_TEST(room)
{
    static nr_fw_probes probes;
    uint8_t rom[NR_FW_ROM] = {NR_FW_FAMILY}, other[NR_FW_ROM] = {0x10, 1};
    probes_of(&probes, 0);
    for (uint8_t i = 0; i < 14; i++) {
        rom[7] = (uint8_t)(i + 1);
        ck_assert_int_eq(nr_fw_probes_add(&probes, rom), i < 12);
        ck_assert(!nr_fw_probes_add(&probes, other));
    }
    ck_assert_uint_eq(probes.count, 12);
    for (uint8_t i = 0; i < 12; i++)
        ck_assert_uint_eq(probes.probe[i].rom[7], i + 1);
}
END_TEST

/* 85 degC after the supply came back: believed within 5 K of the round before. */
START_TEST(power_on)
{
    static const nr_fw_memory memories[] = {NR_FW_MEMORY_GOOD, NR_FW_MEMORY_ABSENT,
                                            NR_FW_MEMORY_DAMAGED, NR_FW_MEMORY_COARSE};
    for (int before = 79 * 16; before <= 91 * 16; before++)
        for (int known = 0; known < 2; known++)
            for (int m = 0; m < 4; m++)
                for (int now = 84 * 16 + 15; now <= 85 * 16 + 1; now++) {
                    nr_fw_probe p = {.known = known, .sixteenths = (int16_t)before};
                    nr_fw_probe_take(&p, memories[m], (int16_t)now);
                    bool near = known && before >= 80 * 16 && before <= 90 * 16;
                    bool is = m == 0 && (now != 85 * 16 || near);
                    if (p.known != is || p.sixteenths != (is ? now : before))
                        ck_abort_msg("%d then %d, memory %d", before, now, m);
                }
}
END_TEST

/* --- requests --------------------------------------------------------------------------------- */

/* Blanks, a letter, blanks, up to four figures, blanks; nothing else. */
static nr_fw_request request_of(const char *line)
{
    nr_fw_request r = {0};
    unsigned number = 0;
    int figures = 0;
    line += strspn(line, " \t");
    if (!((*line >= 'a' && *line <= 'z') || (*line >= 'A' && *line <= 'Z') || *line == '?'))
        return r;
    char letter = *line++;
    line += strspn(line, " \t");
    for (; *line >= '0' && *line <= '9'; line++, figures++)
        number = number * 10 + (unsigned)(*line - '0');
    line += strspn(line, " \t");
    if (*line || figures > 4)
        return r;
    return (nr_fw_request){letter, figures > 0, (uint16_t)number};
}

static void same_request(nr_fw_request_reader *reader, const char *line)
{
    nr_fw_request found = {'x', true, 7}, expected = request_of(line);
    for (const char *p = line; *p; p++)
        ck_assert(!nr_fw_request_take(reader, *p, &found));
    bool any = line[strspn(line, " \t")] != '\0';
    bool is = nr_fw_request_take(reader, rand_r(&seed) % 2 ? '\n' : '\r', &found);
    if (is != any || (any && (found.letter != expected.letter || found.number != expected.number ||
                              found.has_number != expected.has_number)))
        ck_abort_msg("\"%s\": %c %d %u", line, found.letter, found.has_number, found.number);
}

/* All lines of up to four of these letters, one after another through one reader. */
START_TEST(short_lines)
{
    static const char of[] = "e? \t19-zAZ0{";
    nr_fw_request_reader reader = {0};
    char line[8];
    for (int n = 0; n <= 3; n++) {
        int all = 1;
        for (int i = 0; i < n; i++)
            all *= 13;
        for (int k = 0; k < all; k++) {
            int rest = k;
            for (int i = 0; i < n; i++, rest /= 13)
                line[i] = of[rest % 13];
            line[n] = '\0';
            if (strchr(line, '\0') == line + n)
                same_request(&reader, line);
        }
    }
    static const char *const more[] = {"e1234",   "e12345", "e1 2", "e 1234 ", "e9999",
                                       " e\t60 ", "e12 34", "e1e",  "e0001",   "e00001",
                                       "@",       "[",      "`",    "/",       ":"};
    for (size_t i = 0; i < sizeof more / sizeof *more; i++)
        same_request(&reader, more[i]);
}
END_TEST

/* --- numbers ---------------------------------------------------------------------------------- */

START_TEST(scales)
{
    for (uint32_t sum = 0; sum <= 102300; sum += 1 + sum % 7) {
        double share = sum * 65536.0 / 102400;
        if (nr_fw_share(sum) != (uint32_t)floor(share + 0.5))
            ck_abort_msg("%lu", (unsigned long)sum);
        uint16_t mV = (uint16_t)(1000 + sum % 301);
        if (nr_fw_microvolt(sum, mV) != (uint32_t)floor(sum * 1000.0 * mV / 102400 + 0.5))
            ck_abort_msg("%lu at %u mV", (unsigned long)sum, (unsigned)mV);
    }
    for (uint32_t share = 0; share <= 65536; share++)
        if (nr_fw_share_wired(share) != (share >= 65 && share <= 65536 - 513))
            ck_abort_msg("%lu", (unsigned long)share);
}
END_TEST

/* One to sixty seconds, 1000 to 1200 mV; four bytes, of which none may be another. */
START_TEST(settings)
{
    for (uint16_t s = 0; s < 70; s++) {
        nr_fw_settings of = nr_fw_settings_default();
        ck_assert_int_eq(nr_fw_settings_interval(&of, s), s >= 1 && s <= 60);
        ck_assert_uint_eq(of.interval_s, s >= 1 && s <= 60 ? s : 1);
    }
    for (uint16_t mV = 990; mV < 1210; mV++) {
        uint8_t bytes[NR_FW_SETTINGS];
        nr_fw_settings of = nr_fw_settings_default(), back;
        bool good = mV >= 1000 && mV <= 1200;
        ck_assert_int_eq(nr_fw_settings_reference(&of, mV), good);
        ck_assert_uint_eq(of.reference_mV, good ? mV : 1100);
        of.interval_s = (uint8_t)(1 + mV % 60);
        nr_fw_settings_pack(&of, bytes);
        back = nr_fw_settings_unpack(bytes);
        ck_assert(back.interval_s == of.interval_s && back.reference_mV == of.reference_mV);
        bytes[mV % 4] ^= (uint8_t)(1U << mV % 8);
        back = nr_fw_settings_unpack(bytes);
        ck_assert(back.interval_s == 1 && back.reference_mV == 1100);
    }
    static const nr_fw_settings bad[] = {{0, 1100}, {61, 1100}, {5, 999}, {5, 1201}};
    for (int i = 0; i < 4; i++) { /* whole, but out of range */
        uint8_t bytes[NR_FW_SETTINGS];
        nr_fw_settings_pack(&bad[i], bytes);
        nr_fw_settings back = nr_fw_settings_unpack(bytes);
        ck_assert(back.interval_s == 1 && back.reference_mV == 1100);
    }
}
END_TEST

/* Pulses over the time between their last edges, in ticks of half a microsecond; five seconds
 * without one: it stands, and until then it turns no faster than one in that time. */
START_TEST(meters)
{
    nr_fw_meter m = {0};
    uint32_t now = 0, last = 0;
    uint16_t count = 0;
    double mHz = 0;
    bool turning = false;
    for (int k = 0; k < 3000; k++) {
        uint16_t more = (uint16_t)(drawn(3) ? drawn(200) : 0);
        now += 200000 + drawn(k % 50 == 7 ? 14000000 : 3000000);
        uint32_t since = now - last;
        if (more == 0 && turning) {
            double most = floor(2e9 / since + 0.5);
            turning = since < 10000000;
            mHz = !turning ? 0 : most < mHz ? most : mHz;
        } else if (more > 0) {
            uint32_t edge = now - drawn(150000);
            mHz = turning ? floor(more * 2e9 / (edge - last) + 0.5) : 0;
            last = edge;
            count = (uint16_t)(count + more);
            turning = true;
        }
        nr_fw_flow flow = nr_fw_meter_take(&m, (nr_fw_edges){.count = count, .last = last}, now);
        if (flow.pulses != more || fabs(flow.millihertz - mHz) > 1)
            ck_abort_msg("%d: %u pulses, %lu mHz, not %.0f", k, (unsigned)flow.pulses,
                         (unsigned long)flow.millihertz, mHz);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {lines,  answers,  room,   power_on, short_lines,
                                  scales, settings, meters, NULL};
    return run_tests("adapter drawn", tests);
}
