/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of adapter.log written a second time, byte by byte, and what is a row and what is damage, by
 * the words of adapter_log.h; on drawn bytes and on every pair of bytes behind a backslash. */
#include "logger/record/adapter_log.h"

#include "tests/unit/chance.h"
#include "tests/unit/near.h"

static uint64_t state;
static char row[NR_ADAPTER_LOG_ROW];
static nr_logged back;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

START_TEST(written_again)
{
    static const char *const names[] = {"", "roof", "a-b_c"};
    state = 2;
    for (int round = 0; round < 300; round++) {
        char bytes[120], wanted[800], *to = wanted;
        size_t length = 1 + draw(sizeof bytes);
        double elapsed_s = draw(60000) / 1000.0 + draw(3) * 86400.0;
        const char *name = names[draw(3)];
        nr_wire_line line = {
            .text = bytes, .length = length, .first = draw(2), .cut = draw(2), .open = draw(2)};
        /* 2026-05-28T20:26:40Z is 1780000000 (date -u +%s) */
        to += sprintf(to, "2026-05-28T20:26:%02d.500Z\t%.3f\t%s\t", 40 + round % 20, elapsed_s,
                      name[0] ? name : "-");
        for (size_t i = 0; i < length; i++) {
            unsigned c = draw(4) ? 0x20 + draw(0x60) : draw(256);
            bytes[i] = (char)c;
            if (c == '\\')
                to += sprintf(to, "\\\\");
            else if (c < 0x20 || c > 0x7e)
                to += sprintf(to, "\\x%02X", c);
            else
                *to++ = (char)c;
        }
        sprintf(to, "%s%s%s\n", line.first ? "\\^" : "", line.cut ? "\\+" : "",
                line.open ? "\\-" : "");
        size_t n =
            nr_adapter_log_row(1780000000.5 + round % 20, elapsed_s, name, &line, row, sizeof row);
        ck_assert_uint_eq(n, strlen(wanted));
        ck_assert(memcmp(row, wanted, n) == 0);
        ck_assert_uint_eq(nr_adapter_log_row(0, 0, name, &line, row, sizeof row - 1), 0);
        char *exact = malloc(n - 1); /* what reads behind it is seen */
        memcpy(exact, wanted, n - 1);
        ck_assert_msg(nr_adapter_log_parse(exact, n - 1, &back), "%s", wanted);
        free(exact);
        ck_assert_uint_eq(back.line.length, length);
        ck_assert(memcmp(back.line.text, bytes, length) == 0 && !back.resume);
        ck_assert(back.line.first == line.first && back.line.cut == line.cut &&
                  back.line.open == line.open);
        ck_assert_str_eq(back.adapter, name);
        NEAR(back.elapsed_s, elapsed_s, 1e-6);
        NEAR(back.utc_s, 1780000000.5 + round % 20, 1e-6);
    }
}
END_TEST

#define HEAD "2026-05-28T20:26:40.250Z\t12.345\t-\t"

static bool is_row(const char *tail, size_t length)
{
    char *text = malloc(strlen(HEAD) + length);
    memcpy(text, HEAD, strlen(HEAD));
    memcpy(text + strlen(HEAD), tail, length);
    bool is = nr_adapter_log_parse(text, strlen(HEAD) + length, &back);
    free(text);
    return is;
}

/* Any byte: plain as it is, a tab too, and no other control character. */
START_TEST(bytes_as_they_are)
{
    for (int c = 1; c < 256; c++) {
        char tail[] = {'a', (char)c, 'b'};
        if (c == '\\')
            continue;
        ck_assert_msg(is_row(tail, 3) == (c >= 0x20 || c == '\t'), "%d", c);
        if (c >= 0x20)
            ck_assert(back.line.length == 3 && back.line.text[1] == (char)c);
    }
    ck_assert(!is_row("a\0b", 3));
}
END_TEST

static int digit(int c)
{
    return c >= '0' && c <= '9' ? c - '0' : c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

START_TEST(behind_a_backslash)
{
    for (int c = 1; c < 256; c++) {
        char tail[] = {'a', '\\', (char)c};
        bool mark = c == '^' || c == '+' || c == '-';
        ck_assert_msg(is_row(tail, 3) == (mark || c == '\\'), "%c", c);
        if (mark)
            ck_assert(back.line.length == 1 && back.line.first == (c == '^') &&
                      back.line.cut == (c == '+') && back.line.open == (c == '-'));
        char more[] = {'a', '\\', (char)c, 'b'}; /* nothing stands behind a mark but marks */
        ck_assert(is_row(more, 4) == (c == '\\'));
        char both[] = {'a', '\\', (char)c, '\\', '-'};
        ck_assert(is_row(both, 5) == (mark || c == '\\'));
    }
    static const char some[] = "0129:@AFG`afgx \\";
    for (const char *high = some; *high; high++)
        for (const char *low = some; *low; low++) {
            char tail[] = {'\\', 'x', *high, *low};
            bool good = digit(*high) >= 0 && digit(*low) >= 0;
            ck_assert_msg(is_row(tail, 4) == good, "%c%c", *high, *low);
            if (good)
                ck_assert(back.line.length == 1 &&
                          (unsigned char)back.line.text[0] == 16 * digit(*high) + digit(*low));
            ck_assert(!is_row(tail, 3));
        }
    ck_assert(!is_row("\\^", 2)); /* a line has a byte */
    ck_assert(!is_row("", 0));
}
END_TEST

/* The longest line, and one that is longer. */
START_TEST(longest)
{
    static char tail[NR_LINE_MAX + 1];
    memset(tail, 'x', sizeof tail);
    ck_assert(is_row(tail, NR_LINE_MAX) && back.line.length == NR_LINE_MAX);
    ck_assert(!is_row(tail, NR_LINE_MAX + 1));
}
END_TEST

/* Columns: a time, a number, a name below its room; each has its end. */
START_TEST(columns)
{
    char text[200];
    static const struct {
        const char *utc, *elapsed;
        bool good;
    } of[] = {{"2026-05-28T20:26:40.250Z", "12.345", true},
              {"2026-05-28T20:26:40Z", "-1", true},
              {"2026-05-28T20:26:61.250Z", "1", false},
              {"", "1", false},
              {"2026-05-28T20:26:40.250Z", "", false},
              {"2026-05-28T20:26:40.250Z", "1s", false},
              {"2026-05-28T20:26:40.250Z", "000000000000000000000000000000000001", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        int n = snprintf(text, sizeof text, "%s\t%s\troof\tx=1", of[i].utc, of[i].elapsed);
        ck_assert_msg(nr_adapter_log_parse(text, (size_t)n, &back) == of[i].good, "%s", text);
    }
    for (int length = 61; length < 67; length++) {
        int n = snprintf(text, sizeof text, "2026-05-28T20:26:40.250Z\t1\t%0*d\tx=1", length, 0);
        bool good = length < (int)sizeof back.adapter;
        ck_assert_msg(nr_adapter_log_parse(text, (size_t)n, &back) == good, "%d", length);
        ck_assert(!good || strlen(back.adapter) == (size_t)length);
    }
    static const char mark[] = NR_ADAPTER_LOG_RESUME;
    for (size_t n = 0; n < sizeof mark; n++)
        ck_assert_msg(nr_adapter_log_parse(mark, n, &back) == (n == sizeof mark - 2), "%zu", n);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {written_again, bytes_as_they_are, behind_a_backslash,
                                  longest,       columns,           NULL};
    return run_tests("log_drawn", tests);
}
