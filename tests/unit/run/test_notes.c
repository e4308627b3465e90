/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/notes.h"
#include "tests/unit/near.h"

static nr_notes *good(const char *text, size_t length)
{
    nr_notes *n = NULL;
    nr_err err = {0};
    nr_code code = nr_notes_parse(text, length, "notes.csv", &n, &err);
    ck_assert_msg(code == NR_OK, "%ld: %s", err.line, err.text);
    return n;
}
#define GOOD(text) good(text, sizeof(text) - 1)

static void bad(const char *text, size_t length, long line, const char *word)
{
    nr_notes *n = (nr_notes *)1;
    nr_err err = {0};
    ck_assert_msg(nr_notes_parse(text, length, "notes.csv", &n, &err) == NR_BAD, "accepted: %s",
                  text);
    ck_assert_ptr_null(n);
    ck_assert_msg(err.line == line, "line %ld, not %ld: %s", err.line, line, err.text);
    ck_assert_msg(strstr(err.text, word), "no \"%s\" in \"%s\"", word, err.text);
}
#define BAD(text, line, word) bad(text, sizeof(text) - 1, line, word)
#define AT "2026-05-04T11:22:33.456Z,61.25,"

START_TEST(plain)
{
    nr_notes *n = GOOD(NR_NOTES_HEADER AT "note,glass on\n" AT "pump,\"off, a cloud\"\r\n" AT
                                          "gap,\"a \"\"b\"\" c\nd\"\n");
    ck_assert_uint_eq(n->count, 3);
    NEAR(n->note[0].elapsed_s, 61.25, 0);
    NEAR(n->note[0].utc_s, 1777893753.456, 1e-6);
    ck_assert_int_eq(n->note[0].kind, NR_NOTE_NOTE);
    ck_assert_str_eq(n->note[0].text, "glass on");
    ck_assert_int_eq(n->note[1].kind, NR_NOTE_PUMP);
    ck_assert_str_eq(n->note[1].text, "off, a cloud");
    ck_assert_int_eq(n->note[2].kind, NR_NOTE_GAP);
    ck_assert_str_eq(n->note[2].text, "a \"b\" c?d");
    ck_assert(!n->torn);
    nr_notes_free(n);
    nr_notes_free(NULL);
}
END_TEST

START_TEST(nothing_is_an_empty_list)
{
    nr_notes *n = GOOD("");
    ck_assert_uint_eq(n->count, 0);
    nr_notes_free(n);
    n = GOOD(NR_NOTES_HEADER);
    ck_assert_uint_eq(n->count, 0);
    nr_notes_free(n);
    nr_err err;
    ck_assert_int_eq(nr_notes_read("/nonexistent/notes.csv", &n, &err), NR_OK);
    ck_assert_uint_eq(n->count, 0);
    nr_notes_free(n);
    ck_assert_int_eq(nr_notes_read("/tmp", &n, &err), NR_BAD);
}
END_TEST

START_TEST(errors)
{
    BAD("a,b\n", 1, "time_utc,elapsed_s,kind,text");
    BAD("time_utc,elapsed_s,kind\n", 1, "3 cells");
    BAD(NR_NOTES_HEADER AT "nope,x\n", 2, "pump");
    BAD(NR_NOTES_HEADER AT "note,x\nyesterday,1,note,x\n", 3, "time_utc");
    BAD(NR_NOTES_HEADER "2026-05-04T11:22:33.456Z,soon,note,x\n", 2, "elapsed_s");
    BAD(NR_NOTES_HEADER "2026-05-04T11:22:33.456Z,1e300,note,x\n", 2, "elapsed_s");
    BAD(NR_NOTES_HEADER AT "note,a,b\n", 2, "5 cells");
    BAD(NR_NOTES_HEADER AT "note\n" AT "note,x\n", 2, "3 cells");
    BAD(NR_NOTES_HEADER AT "note,\"x\n" AT "note,y\n", 2, "quote");
    BAD(NR_NOTES_HEADER AT "note,\"x\" y\n", 2, "quote");
}
END_TEST

START_TEST(torn_last_line)
{
    static const char whole[] = NR_NOTES_HEADER AT "note,\"glass on\"\n" AT "pump,\"off\"\n";
    size_t first = strlen(NR_NOTES_HEADER AT "note,\"glass on\"\n");
    for (size_t cut = first; cut < sizeof whole; cut++) {
        nr_notes *n = good(whole, cut);
        bool complete = cut >= sizeof whole - 2;
        ck_assert_msg(n->count == (complete ? 2u : 1u), "cut %zu: %zu", cut, n->count);
        ck_assert_msg(n->torn == (cut > first && !complete), "cut %zu", cut);
        nr_notes_free(n);
    }
}
END_TEST

static void round_trip(nr_note_kind kind, const char *text, const char *in_file)
{
    nr_note note = {.utc_s = 1777893753.456, .elapsed_s = 61.25, .kind = kind};
    char row[2000], file[3000], wanted[2000];
    snprintf(note.text, sizeof note.text, "%s", text);
    size_t length = nr_notes_row(&note, row, sizeof row);
    ck_assert_uint_eq(length, strlen(row));
    snprintf(wanted, sizeof wanted, "2026-05-04T11:22:33.456Z,61.250,%s,%s\n",
             nr_note_kind_name(kind), in_file);
    ck_assert_str_eq(row, wanted);
    int size = snprintf(file, sizeof file, "%s%s", NR_NOTES_HEADER, row);
    nr_notes *n = good(file, (size_t)size);
    ck_assert_uint_eq(n->count, 1);
    ck_assert_str_eq(n->note[0].text, text);
    ck_assert_int_eq(n->note[0].kind, kind);
    nr_notes_free(n);
}

START_TEST(written_reads_back_and_is_no_formula)
{
    round_trip(NR_NOTE_NOTE, "glass on", "\"glass on\"");
    round_trip(NR_NOTE_PUMP, "off: a cloud, \"big\"", "\"off: a cloud, \"\"big\"\"\"");
    round_trip(NR_NOTE_NOTE, "", "\"\"");
    round_trip(NR_NOTE_NOTE, "'tis warm", "\"'tis warm\"");
    /* What a spreadsheet would run (OWASP, "CSV Injection": = + - @). */
    round_trip(NR_NOTE_NOTE, "=HYPERLINK(\"http://x\")", "\"'=HYPERLINK(\"\"http://x\"\")\"");
    round_trip(NR_NOTE_NOTE, "+1", "\"'+1\"");
    round_trip(NR_NOTE_NOTE, "-2", "\"'-2\"");
    round_trip(NR_NOTE_NOTE, "@SUM(A1)", "\"'@SUM(A1)\"");
    round_trip(NR_NOTE_NOTE, "'=1", "\"''=1\""); /* the apostrophe was the person's own */
    for (int kind = NR_NOTE_NOTE; kind <= NR_NOTE_STOP; kind++)
        round_trip((nr_note_kind)kind, "x", "\"x\"");
}
END_TEST

START_TEST(control_characters_stay_out)
{
    nr_note note = {.kind = NR_NOTE_NOTE, .text = "a\nb\x1b[2J\t=1"};
    char row[200];
    ck_assert_uint_gt(nr_notes_row(&note, row, sizeof row), 0);
    ck_assert_str_eq(row, "1970-01-01T00:00:00.000Z,0.000,note,\"a?b?[2J?=1\"\n");
    nr_notes *n = GOOD(NR_NOTES_HEADER AT "note,\"a\x1b[2J\tb\"\n");
    ck_assert_str_eq(n->note[0].text, "a?[2J?b");
    nr_notes_free(n);
}
END_TEST

START_TEST(too_long_is_not_written_in_part)
{
    nr_note note = {.kind = NR_NOTE_NOTE, .text = "twelve chars"};
    char row[200];
    size_t length = nr_notes_row(&note, row, sizeof row);
    for (size_t size = 0; size < sizeof row; size++)
        ck_assert_uint_eq(nr_notes_row(&note, row, size), size > length ? length : 0);
    memset(note.text, '"', sizeof note.text); /* no end at all, and every character doubled */
    char large[2000];
    ck_assert_uint_gt(nr_notes_row(&note, large, sizeof large), 1000);
}
END_TEST

START_TEST(long_texts_are_cut_at_a_character)
{
    char text[1500] = NR_NOTES_HEADER AT "note,";
    size_t used = strlen(text);
    for (int i = 0; i < 400; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "\xc2\xb0");
    text[used++] = '\n';
    nr_notes *n = good(text, used);
    ck_assert_uint_eq(strlen(n->note[0].text), 510);
    nr_notes_free(n);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {plain,
                                  nothing_is_an_empty_list,
                                  errors,
                                  torn_last_line,
                                  written_reads_back_and_is_no_formula,
                                  control_characters_stay_out,
                                  too_long_is_not_written_in_part,
                                  long_texts_are_cut_at_a_character,
                                  NULL};
    return run_tests("notes", tests);
}
