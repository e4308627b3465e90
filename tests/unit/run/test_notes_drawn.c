/* SPDX-License-Identifier: GPL-3.0-or-later */
/* notes.csv and by-hand.csv, drawn: many rows written a second time by the words of notes.h and
 * by_hand.h, read back, cut, and damaged in each of their cells. */
#include "logger/run/by_hand.h"
#include "logger/run/notes.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <stdbool.h>

#define MOST 70
#define START 1777893720 /* 2026-05-04T11:22:00Z (date -u +%s) */

static uint64_t state;
static nr_err err;
static const char *const kinds[] = {"note", "gap",    "port",  "clock",
                                    "pump", "target", "start", "stop"};

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

static void draw_note(nr_note *n, int i)
{
    static const char letters[] = "ab ,\"'=+-@.;:19\t\n\x01";
    size_t length = draw(6) ? draw(14) : 0;
    *n = (nr_note){.kind = (nr_note_kind)draw(8)};
    n->utc_s = START + i + draw(1000) / 1000.0;
    n->elapsed_s = draw(2000000) / 1000.0;
    for (size_t k = 0; k < length; k++)
        n->text[k] = letters[draw(sizeof letters - 1)];
}

/* A row as it is to stand in the file, and the text as it is read back. */
static void write_row(const nr_note *n, char *row, size_t size, char *back)
{
    char quoted[100], *to = quoted;
    const char *first = n->text + strspn(n->text, "'");
    if (*first && strchr("=+-@", *first))
        *to++ = '\'';
    for (const char *p = n->text; *p; p++, back++) {
        *back = (unsigned char)*p < 0x20 ? '?' : *p;
        if (*back == '"')
            *to++ = '"';
        *to++ = *back;
    }
    *to = *back = '\0';
    long long ms = llround(n->utc_s * 1000), minute = ms / 60000 - START / 60;
    snprintf(row, size, "2026-05-04T11:%02lld:%02lld.%03lldZ,%.3f,%s,\"%s\"\n", 22 + minute,
             ms / 1000 % 60, ms % 1000, n->elapsed_s, kinds[n->kind], quoted);
}

START_TEST(notes)
{
    static nr_note given[MOST];
    static char file[20000], back[MOST][20];
    state = 14;
    for (int round = 0; round < 12; round++) {
        int count = round == 0 ? MOST : (int)draw(MOST);
        size_t at[MOST + 1];
        strcpy(file, NR_NOTES_HEADER);
        for (int i = 0; i < count; i++) {
            char row[200], is[200];
            draw_note(&given[i], i);
            write_row(&given[i], row, sizeof row, back[i]);
            ck_assert_uint_eq(nr_notes_row(&given[i], is, sizeof is), strlen(row));
            ck_assert_str_eq(is, row);
            ck_assert_uint_eq(nr_notes_row(&given[i], is, strlen(row) + 1), strlen(row));
            ck_assert_uint_eq(nr_notes_row(&given[i], is, strlen(row)), 0);
            ck_assert_str_eq(is, "");
            at[i] = strlen(file);
            strcat(file, row);
        }
        at[count] = strlen(file);
        for (int cut = 0; cut < (count > 40 ? 30 : 1); cut++) { /* whole first, then cut anywhere */
            size_t length = cut ? at[0] + draw((unsigned)(at[count] - at[0])) : at[count];
            /* Behind the first of two quotes the rest is a whole row of a shorter text. */
            if (length < at[count] && file[length - 1] == '"' && file[length] == '"')
                continue;
            size_t whole = 0;
            while (whole < (size_t)count && at[whole + 1] <= length)
                whole++;
            nr_notes *n = NULL;
            char *exact = malloc(length); /* what reads behind it is seen */
            memcpy(exact, file, length);
            ck_assert_msg(nr_notes_parse(exact, length, "n.csv", &n, &err) == NR_OK, "%s",
                          err.text);
            free(exact);
            bool complete = whole < (size_t)count && length + 1 == at[whole + 1]; /* but its end */
            ck_assert_uint_eq(n->count, whole + complete);
            ck_assert(n->torn == (length > at[whole] && !complete));
            for (size_t i = 0; i < n->count; i++) {
                ck_assert_str_eq(n->note[i].text, back[i]);
                ck_assert_int_eq(n->note[i].kind, given[i].kind);
                NEAR(n->note[i].utc_s, given[i].utc_s, 0.000501);
                NEAR(n->note[i].elapsed_s, given[i].elapsed_s, 0.000501);
            }
            nr_notes_free(n);
        }
    }
}
END_TEST

static nr_code read_notes(const char *rows, size_t length, size_t *count)
{
    char text[600] = NR_NOTES_HEADER;
    size_t head = strlen(text);
    nr_notes *n;
    memcpy(text + head, rows, length);
    nr_code code = nr_notes_parse(text, head + length, "n.csv", &n, &err);
    if (code == NR_OK) {
        *count = n->count + 100 * n->torn;
        nr_notes_free(n);
    }
    return code;
}

/* Ends of the time since the start; zero bytes; a mark of the encoding; each cell that is none. */
START_TEST(notes_that_are_none)
{
#define AT "2026-05-04T11:22:33Z,"
#define GOOD AT "1,note,x\n"
    static const struct {
        const char *rows;
        size_t length;
        size_t count; /* with 100 where the end is torn; 999: refused */
        long line;
        const char *words;
    } of[] = {
#define ROW(rows, count, line, words) {rows, sizeof(rows) - 1, count, line, words}
        ROW(GOOD, 1, 0, ""),
        ROW(AT "4100000000,note,x\n", 1, 0, ""),
        ROW(AT "-4100000000,note,x\n", 1, 0, ""),
        ROW(AT "4100000001,note,x\n", 999, 2, "elapsed_s: \"4100000001\""),
        ROW(GOOD AT "-4100000001,note,x\n", 999, 3, "elapsed_s"),
        ROW(GOOD "2026-05-04,1,note,x\n", 999, 3, "column time_utc: \"2026-05-04\""),
        ROW(GOOD GOOD AT "1,notes,x\n", 999, 4, "column kind: \"notes\""),
        ROW(GOOD AT "1,note\n", 999, 3, "3 cells instead of 4"),
        ROW(GOOD AT "1,note,x,y\n", 999, 3, "5 cells instead of 4"),
        ROW(GOOD "\0\0\n" GOOD, 102, 0, ""),
        ROW(GOOD "\0\0\0", 101, 0, ""),
        ROW(GOOD AT "1,note,x", 2, 0, ""),
        ROW(GOOD AT "1,note,", 101, 0, ""),
        ROW(GOOD AT "1,not", 101, 0, ""),
        ROW(GOOD AT "1,note,\"x", 101, 0, ""),
        ROW(GOOD AT "1,note,\"x\ny\"\n" GOOD, 3, 0, ""),
        ROW(GOOD AT "1,note,\"x\ny\"\n" AT "x,note,\n", 999, 5, "elapsed_s"),
        ROW(GOOD AT "1,note,x\"y\n", 999, 3, "quote"),
        ROW(GOOD AT "1,note,\"x\n", 999, 3, "quote"),
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        size_t count = 999;
        nr_code code = read_notes(of[i].rows, of[i].length, &count);
        ck_assert_msg(count == of[i].count, "row %zu: %zu, %s", i, count, code ? err.text : "");
        if (code == NR_OK)
            continue;
        ck_assert_msg(err.line == of[i].line && strstr(err.text, of[i].words), "row %zu: %ld: %s",
                      i, err.line, err.text);
    }
    nr_notes *n;
    static const char marked[] = "\xef\xbb\xbf" NR_NOTES_HEADER GOOD;
    ck_assert_int_eq(nr_notes_parse(marked, sizeof marked - 1, "n.csv", &n, &err), NR_OK);
    ck_assert_uint_eq(n->count, 1);
    nr_notes_free(n);
    static const char *const heads[] = {"time_utc,elapsed_s,kind,texts\n",
                                        "time_utc,elapsed_s,kind,text,x\n",
                                        "time_utc,elapsed_s,kind\n", "x,elapsed_s,kind,text\n"};
    for (size_t i = 0; i < 4; i++)
        ck_assert_int_eq(nr_notes_parse(heads[i], strlen(heads[i]), "n.csv", &n, &err), NR_BAD);
}
END_TEST

/* --- by hand
 * --------------------------------------------------------------------------------------- */

START_TEST(by_hand)
{
    static const char *const channels[] = {"store", "air", "pond"}, *const units[] = {
                                                                        "degC", "degF", "rpm"};
    static char file[20000];
    state = 15;
    for (int round = 0; round < 12; round++) {
        static nr_by_hand given[2 * MOST];
        size_t count = round == 0 ? 2 * MOST : draw(2 * MOST), damaged = 0, good = 0;
        strcpy(file, draw(3) ? NR_BY_HAND_HEADER : "");
        for (size_t i = 0; i < count; i++) {
            static const char *const wrong[] = {"x\n", ",,,,\n", "2026-05-04T11:22:00Z,store,1\n",
                                                "\xff\n", "a,b,c,d,e,f\n"};
            char row[200], wanted[200];
            nr_by_hand *g = &given[good];
            *g = (nr_by_hand){.utc_s = START + draw(60),
                              .taken_utc_s = START + draw(600) / 10.0,
                              .value = (draw(4000) - 1000.0) / 16};
            snprintf(g->channel, sizeof g->channel, "%s", channels[draw(3)]);
            snprintf(g->unit, sizeof g->unit, "%s", units[draw(3)]);
            int ms = (int)lround((g->taken_utc_s - START) * 1000);
            snprintf(wanted, sizeof wanted,
                     "2026-05-04T11:22:%02d.000Z,2026-05-04T11:22:%02d.%03dZ,%s,%.10g,%s\n",
                     (int)(g->utc_s - START), ms / 1000, ms % 1000, g->channel, g->value, g->unit);
            ck_assert_uint_eq(nr_by_hand_row(g, row, sizeof row), strlen(wanted));
            ck_assert_str_eq(row, wanted);
            ck_assert_uint_eq(nr_by_hand_row(g, row, strlen(wanted)), 0);
            ck_assert_uint_eq(nr_by_hand_row(g, row, strlen(wanted) + 1), strlen(wanted));
            if (draw(9) == 0) {
                strcat(file, wrong[draw(5)]);
                damaged++;
                continue;
            }
            if (draw(5) == 0)
                strcpy(wanted + strlen(wanted) - 1, "\r\n");
            strcat(file, wanted);
            good++;
            if (draw(9) == 0)
                strcat(file, "\n"); /* an empty line is none */
        }
        bool torn = draw(2);
        strcat(file, torn ? "2026-05-04T11" : "");
        nr_by_hand_list list;
        ck_assert_int_eq(nr_by_hand_parse(file, strlen(file), "h.csv", &list, &err), NR_OK);
        ck_assert_uint_eq(list.count, good);
        ck_assert_uint_eq(list.damaged, damaged + torn);
        ck_assert_msg(list.torn == torn, "%s", file);
        for (size_t i = 0; i < good; i++) {
            NEAR(list.reading[i].utc_s, given[i].utc_s, 1e-6);
            NEAR(list.reading[i].taken_utc_s, given[i].taken_utc_s, 1e-6);
            NEAR(list.reading[i].value, given[i].value, 1e-9);
            ck_assert_str_eq(list.reading[i].channel, given[i].channel);
            ck_assert_str_eq(list.reading[i].unit, given[i].unit);
        }
        nr_by_hand_free(&list);
        ck_assert(list.count == 0 && !list.reading);
    }
}
END_TEST

/* Each cell of a reading that is none, and names as long as there is room for. */
START_TEST(cells_by_hand)
{
#define T "2026-05-04T11:22:00Z"
    static const struct {
        const char *line;
        size_t count;
    } of[] = {{T "," T ",store,1,degC\n", 1},      {T "," T ",store,1,\n", 1},
              {"x," T ",store,1,degC\n", 0},       {T ",x,store,1,degC\n", 0},
              {T "," T ",,1,degC\n", 0},           {T "," T ",store,x,degC\n", 0},
              {T "," T ",store,1\n", 0},           {T "," T ",store,1,degC,\n", 0},
              {"  " T "," T ",store,1,degC \n", 1}};
    nr_by_hand_list list;
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_int_eq(nr_by_hand_parse(of[i].line, strlen(of[i].line), "h.csv", &list, &err),
                         NR_OK);
        ck_assert_msg(list.count == of[i].count && list.damaged == 1 - of[i].count, "%s",
                      of[i].line);
        nr_by_hand_free(&list);
    }
    for (int length = 62; length < 66; length++)
        for (int unit = 0; unit < 2; unit++) {
            char line[300];
            int n = unit ? snprintf(line, sizeof line, T "," T ",store,1,%0*d\n", length, 0)
                         : snprintf(line, sizeof line, T "," T ",%0*d,1,degC\n", length, 0);
            ck_assert_int_eq(nr_by_hand_parse(line, (size_t)n, "h.csv", &list, &err), NR_OK);
            ck_assert_uint_eq(list.count, length < NR_NAME);
            nr_by_hand_free(&list);
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {notes, notes_that_are_none, by_hand, cells_by_hand, NULL};
    return run_tests("notes_drawn", tests);
}
