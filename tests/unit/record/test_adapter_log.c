/* SPDX-License-Identifier: GPL-3.0-or-later */
/* adapter.log: what goes in comes out, byte for byte, and shows nothing dangerous. */
#include "logger/record/adapter_log.h"

#include "tests/unit/near.h"

static char row[NR_ADAPTER_LOG_ROW];

static size_t write_row(const nr_wire_line *line)
{
    return nr_adapter_log_row(1780000000.25, 12.345, "", line, row, sizeof row);
}

START_TEST(test_looks)
{
    nr_wire_line line = {.text = "store=21.5\\\x1b[2J\xff", .length = 16};
    size_t n = write_row(&line);
    ck_assert_uint_eq(n, strlen(row));
    ck_assert_str_eq(row, "2026-05-28T20:26:40.250Z\t12.345\t-\tstore=21.5\\\\\\x1B[2J\\xFF\n");
}
END_TEST

/* Every byte, every mark. */
START_TEST(test_round_trip)
{
    for (int marks = 0; marks < 8; marks++) {
        char bytes[255];
        nr_logged back;
        for (int i = 0; i < 255; i++)
            bytes[i] = (char)(i + 1);
        nr_wire_line line = {.text = bytes,
                             .length = sizeof bytes,
                             .first = marks & 1,
                             .cut = marks & 2,
                             .open = marks & 4};
        size_t n = write_row(&line);
        ck_assert(nr_adapter_log_parse(row, n - 1, &back));
        ck_assert_uint_eq(back.line.length, sizeof bytes);
        ck_assert_int_eq(memcmp(back.line.text, bytes, sizeof bytes), 0);
        ck_assert_int_eq(back.line.first, line.first);
        ck_assert_int_eq(back.line.cut, line.cut);
        ck_assert_int_eq(back.line.open, line.open);
        NEAR(back.elapsed_s, 12.345, 0);
        NEAR(back.utc_s, 1780000000.25, 1e-6);
        ck_assert_str_eq(back.adapter, "");
        for (size_t i = 0; i + 1 < n; i++)
            ck_assert(row[i] == '\t' || ((unsigned char)row[i] >= 0x20 && row[i] < 0x7f));
    }
}
END_TEST

START_TEST(test_longest)
{
    static char bytes[NR_LINE_MAX];
    nr_logged back;
    memset(bytes, 0x80, sizeof bytes);
    nr_wire_line line = {.text = bytes, .length = sizeof bytes, .cut = true};
    size_t n = nr_adapter_log_row(0, 9999999.999, "roof", &line, row, sizeof row);
    ck_assert(n > 4 * NR_LINE_MAX && n < sizeof row);
    ck_assert(nr_adapter_log_parse(row, n - 1, &back));
    ck_assert_uint_eq(back.line.length, NR_LINE_MAX);
    ck_assert_str_eq(back.adapter, "roof");
    ck_assert_uint_eq(nr_adapter_log_row(0, 0, "", &line, row, 100), 0);
}
END_TEST

START_TEST(test_what_is_no_row)
{
    static const char *const bad[] = {
        "",
        "# a remark",
        "# resume and more",
        "2026-05-28T20:26:40.250Z\t12.345\t-",
        "2026-05-28T20:26:40.250Z\t12.345\t-\t",
        "2026-05-28T20:26:40.250Z\tx\t-\ta",
        "yesterday\t12.345\t-\ta",
        "2026-05-28T20:26:40.250Z\t12.345\t-\ta\\",
        "2026-05-28T20:26:40.250Z\t12.345\t-\ta\\q",
        "2026-05-28T20:26:40.250Z\t12.345\t-\ta\\x1",
        "2026-05-28T20:26:40.250Z\t12.345\t-\ta\\xGG",
        "2026-05-28T20:26:40.250Z\t12.345\t-\ta\\+b",
    };
    nr_logged back;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_adapter_log_parse(bad[i], strlen(bad[i]), &back), "%s", bad[i]);
    const char *marker = NR_ADAPTER_LOG_RESUME;
    ck_assert(nr_adapter_log_parse(marker, strlen(marker) - 1, &back));
    ck_assert(back.resume);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_looks, test_round_trip, test_longest, test_what_is_no_row,
                                  NULL};
    return run_tests("adapter_log", tests);
}
