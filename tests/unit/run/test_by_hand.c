/* SPDX-License-Identifier: GPL-3.0-or-later */
/* by-hand.csv: what is a reading, what is damaged, what a crash tore; a row comes back as it was.
 */
#include "logger/base/utc.h"
#include "logger/run/by_hand.h"
#include "tests/unit/near.h"

#define GOOD "2026-05-16T10:15:00.000Z,2026-05-16T10:16:30.000Z,store,18.5,degC\n"

static nr_by_hand_list list;
static nr_err err;

static nr_code parse(const char *text, size_t length)
{
    err = (nr_err){.text = ""};
    return nr_by_hand_parse(text, length, "by-hand.csv", &list, &err);
}

START_TEST(lines)
{
    static const struct {
        const char *text;
        size_t count, damaged;
        bool torn;
    } of[] = {
        {"", 0, 0, false},
        {NR_BY_HAND_HEADER, 0, 0, false},
        {NR_BY_HAND_HEADER GOOD GOOD, 2, 0, false},
        {GOOD, 1, 0, false}, /* without a head */
        {NR_BY_HAND_HEADER "\n\n" GOOD, 1, 0, false},
        {NR_BY_HAND_HEADER GOOD "2026-05-16T10:15:00.000Z,2026-05", 1, 1, true},
        {NR_BY_HAND_HEADER "nothing\n" GOOD, 1, 1, false},
        {NR_BY_HAND_HEADER GOOD NR_BY_HAND_HEADER GOOD, 2, 1, false},
        {"time_u", 0, 0, false}, /* a head that was torn is no reading */
        {GOOD "2026-05-16T10:15:00Z,2026-05-16T10:16:30Z,store,18.5\n", 1, 1, false},
        {GOOD "2026-05-16T10:15:00Z,2026-05-16T10:16:30Z,store,18.5,degC,x\n", 1, 1, false},
        {GOOD "2026-05-16T10:15:00Z,2026-05-16T10:16:30Z,,18.5,degC\n", 1, 1, false},
        {GOOD "2026-05-16T10:15:00Z,2026-05-16T10:16:30Z,store,warm,degC\n", 1, 1, false},
        {GOOD "2026-05-16T25:15:00Z,2026-05-16T10:16:30Z,store,18.5,degC\n", 1, 1, false},
        {GOOD "2026-05-16T10:15:00Z,soon,store,18.5,degC\n", 1, 1, false},
        {GOOD "2026-05-16T10:15:00Z,2026-05-16T10:16:30Z,store,18.5,\r\n", 2, 0, false},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_msg(parse(of[i].text, strlen(of[i].text)) == NR_OK, "%zu: %s", i, err.text);
        ck_assert_msg(
            list.count == of[i].count && list.damaged == of[i].damaged && list.torn == of[i].torn,
            "%zu: %zu readings, %zu damaged, torn %d", i, list.count, list.damaged, list.torn);
        if (list.count > 0) {
            const nr_by_hand *r = &list.reading[0];
            NEAR(r->utc_s, 1778926500, 1e-6); /* 2026-05-16 10:15:00 UTC (GNU date) */
            NEAR(r->taken_utc_s - r->utc_s, 90, 1e-6);
            ck_assert(r->value == 18.5 && strcmp(r->channel, "store") == 0 &&
                      strcmp(r->unit, "degC") == 0);
        }
        nr_by_hand_free(&list);
        ck_assert(list.count == 0 && list.reading == NULL);
    }
    ck_assert(parse(GOOD "a\0b\n" GOOD, 2 * strlen(GOOD) + 4) == NR_OK);
    ck_assert(list.count == 2 && list.damaged == 1); /* NUL bytes are no reading */
    nr_by_hand_free(&list);
}
END_TEST

/* 511 bytes are a line, more is none; the error names it. Many grow the list. */
START_TEST(long_lines_and_many)
{
    char text[1200];
    for (int more = 0; more < 2; more++) {
        (void)snprintf(text, sizeof text, "%s%*s\n", GOOD, 511 + more, "x");
        nr_code code = parse(text, strlen(text));
        ck_assert_int_eq(code, more ? NR_BAD : NR_OK);
        ck_assert(!more || (err.line == 2 && strcmp(err.file, "by-hand.csv") == 0));
        nr_by_hand_free(&list);
    }
    static char many[200 * sizeof GOOD];
    many[0] = '\0';
    for (int i = 0; i < 150; i++)
        strcat(many, GOOD);
    ck_assert(parse(many, strlen(many)) == NR_OK && list.count == 150);
    ck_assert(list.reading[149].value == 18.5);
    nr_by_hand_free(&list);
    ck_assert(nr_by_hand_read("/tmp/no-such-folder/by-hand.csv", &list, &err) == NR_OK);
    ck_assert_uint_eq(list.count, 0);
}
END_TEST

START_TEST(there_and_back)
{
    nr_by_hand r = {1778926500.25, 1778926590, "store", 18.25, "degC"};
    char row[200];
    size_t length = nr_by_hand_row(&r, row, sizeof row);
    ck_assert(length > 0 && length == strlen(row) && row[length - 1] == '\n');
    ck_assert(parse(row, length) == NR_OK && list.count == 1);
    ck_assert(list.reading[0].value == 18.25);
    NEAR(list.reading[0].utc_s, r.utc_s, 1e-6);
    nr_by_hand_free(&list);
    ck_assert(nr_by_hand_row(&r, row, length + 1) == length); /* the byte that ends it as well */
    ck_assert(nr_by_hand_row(&r, row, length) == 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {lines, long_lines_and_many, there_and_back, NULL};
    return run_tests("by hand", tests);
}
