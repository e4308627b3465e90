/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The manual knows every key of the rig file, with the parser's own words, and no other: the page
 * noonrun-rig(5), the tables of README.md, and those of the conversions in logger/ADAPTER.md. What
 * is missing is printed as it should stand there. */
#include "tests/unit/run/rig_fixture.h"

#include "logger/base/text.h"

#include <stdlib.h>

#define TREE TEST_DATA "/../../"
#define MANUAL TREE "logger/run/man/noonrun-rig.5"
#define README TREE "README.md"
#define ADAPTER TREE "logger/ADAPTER.md"

typedef struct key_row {
    bool law; /* a key of a conversion */
    char *section, *key, *unit, *fallback, *meaning;
} key_row;

/* The parser's keys, cut from one text that is freed by the caller. */
typedef struct key_rows {
    char *text;
    size_t count;
    key_row row[300];
} key_rows;

static void take_rows(key_rows *rows)
{
    size_t size;
    FILE *to = open_memstream(&rows->text, &size);
    nr_rig_describe_table(to);
    fclose(to);
    rows->count = 0;
    for (char *rest = rows->text, *line; (line = strsep(&rest, "\n")) != NULL && *line;) {
        key_row *r = &rows->row[rows->count++];
        ck_assert(rows->count < sizeof rows->row / sizeof *rows->row);
        r->section = strsep(&line, "\t");
        r->key = strsep(&line, "\t");
        r->unit = strsep(&line, "\t");
        r->fallback = strsep(&line, "\t");
        r->meaning = strsep(&line, "\t");
        r->law = strncmp(r->section, "convert = ", 10) == 0;
    }
    ck_assert_uint_gt(rows->count, 100);
}

static char *whole_file(const char *path)
{
    FILE *file = fopen(path, "r");
    ck_assert_msg(file != NULL, "%s cannot be opened", path);
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);
    for (int c; (c = fgetc(file)) != EOF;)
        fputc(c, to);
    fclose(to);
    fclose(file);
    return text;
}

static size_t occurrences(const char *text, const char *what)
{
    size_t count = 0;
    for (const char *p = text; (p = strstr(p, what)) != NULL; p++)
        count++;
    return count;
}

/* Where a section of the page or a table begins. `from`: the head of it, for the message. */
static const char *after(const char *text, const char *from, const char *path)
{
    const char *at = strstr(text, from);
    ck_assert_msg(at != NULL, "%s has no line beginning with: %s", path, from);
    return at + strlen(from);
}

static void must_stand(const char *text, const char *from, const char *until, const char *want,
                       const char *path)
{
    const char *start = after(text, from, path);
    const char *end = strstr(start, until), *at = strstr(start, want);
    ck_assert_msg(at != NULL && (end == NULL || at < end),
                  "%s: below \"%s\" there should stand:\n%s", path, from, want);
}

/* --- the page ------------------------------------------------------------------------------- */

static void unit_words(const char *unit, char *out, size_t size)
{
    static const char *const words[][2] = {{"text", "Text"},
                                           {"word", "Word"},
                                           {"number", "Number"},
                                           {"(channel)", "In the channel's unit"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(unit, words[i][0]) == 0) {
            nr_copy(out, size, words[i][1]);
            return;
        }
    snprintf(out, size, "In %s", unit);
}

/* troff may break a line behind a bar. */
static void breakable(const char *text, char *out, size_t size)
{
    size_t used = 0;
    for (; *text && used + 4 < size; text++) {
        out[used++] = *text;
        if (*text == '|') {
            out[used++] = '\\';
            out[used++] = ':';
        }
    }
    out[used] = '\0';
}

START_TEST(the_page_has_every_key)
{
    static key_rows rows;
    take_rows(&rows);
    char *page = whole_file(MANUAL);
    for (size_t i = 0; i < rows.count; i++) {
        const key_row *r = &rows.row[i];
        char from[100], unit[100], meaning[700], want[1000];
        snprintf(from, sizeof from, r->law ? "\n.SS \"%s\"\n" : "\n.SS [%s%s]\n", r->section,
                 strcmp(r->section, "channel") == 0 ? " NAME" : "");
        unit_words(r->unit, unit, sizeof unit);
        breakable(r->meaning, meaning, sizeof meaning);
        snprintf(want, sizeof want, "\n.TP\n.B %s\n%s\n.br\n%s%s%s.\n", r->key, meaning, unit,
                 r->fallback[0] ? "; default: " : "", r->fallback);
        must_stand(page, from, "\n.S", want, MANUAL);
    }
    /* And no other: what stands behind the keys' heading are these and the laws' own. */
    const char *keys = after(page, "\n.SH SECTIONS AND KEYS\n", MANUAL);
    ck_assert_uint_eq(occurrences(keys, "\n.TP\n.B "), rows.count);
    for (const nr_law *law = nr_laws; law->name; law++) {
        char head[100];
        snprintf(head, sizeof head, "\n.SS \"convert = %s\"\n", law->name);
        after(page, head, MANUAL);
    }
    free(page);
    free(rows.text);
}
END_TEST

/* --- the tables ----------------------------------------------------------------------------- */

/* A cell of a Markdown table: | would end it. */
static void cell(const char *text, char *out, size_t size)
{
    size_t used = 0;
    for (; *text && used + 3 < size; text++) {
        if (*text == '|')
            out[used++] = '\\';
        out[used++] = *text;
    }
    out[used] = '\0';
}

static void table_row(const key_row *r, char *out, size_t size)
{
    char fallback[200], meaning[700];
    cell(r->fallback, fallback, sizeof fallback);
    cell(r->meaning, meaning, sizeof meaning);
    snprintf(out, size, "\n| `%s` | %s | %s | %s |\n", r->key, r->unit, fallback, meaning);
}

static void check_tables(const char *path, bool laws)
{
    static key_rows rows;
    take_rows(&rows);
    char *text = whole_file(path);
    size_t expected = 0;
    for (size_t i = 0; i < rows.count; i++) {
        const key_row *r = &rows.row[i];
        char from[100], want[1000];
        if (r->law != laws)
            continue;
        expected++;
        snprintf(from, sizeof from, r->law ? "\n`%s` " : "\n`[%s%s]` ", r->section,
                 strcmp(r->section, "channel") == 0 ? " NAME" : "");
        table_row(r, want, sizeof want);
        must_stand(text, from, "\n`", want, path);
    }
    /* Only these tables have their first cell in code type followed by four cells. */
    const char *tables = after(text, "<!-- keys begin -->", path);
    const char *end = strstr(tables, "<!-- keys end -->");
    ck_assert_msg(end != NULL, "%s: <!-- keys end --> is missing", path);
    char *between = strndup(tables, (size_t)(end - tables));
    ck_assert_uint_eq(occurrences(between, "\n| `"), expected);
    free(between);
    free(text);
    free(rows.text);
}

START_TEST(the_readme_has_every_key)
{
    check_tables(README, false);
}
END_TEST

START_TEST(the_adapter_page_has_every_conversion)
{
    check_tables(ADAPTER, true);
    char *text = whole_file(ADAPTER);
    for (const nr_law *law = nr_laws; law->name; law++) {
        char want[300];
        snprintf(want, sizeof want, "\n`convert = %s` %s", law->name, law->summary);
        ck_assert_msg(strstr(text, want) != NULL, "%s should have:%s", ADAPTER, want);
    }
    free(text);
}
END_TEST

static void cell_of(double value, const char *unit, char out[40])
{
    if (isnan(value))
        out[0] = '\0';
    else
        snprintf(out, 40, "%g%s%s", value, unit[0] ? " " : "", unit);
}

START_TEST(the_adapter_page_has_every_instrument)
{
    char *text = whole_file(ADAPTER), want[500], offset[40], gain[40], step[40];
    const nr_instrument_kind *k;
    for (size_t i = 0; (k = nr_instrument_at(i)) != NULL; i++) {
        const char *unit =
            k->dimension == NR_DIM_TEMPERATURE ? "K" : nr_unit_canonical(k->dimension)->name;
        cell_of(k->u_offset, unit, offset);
        cell_of(k->u_gain, "", gain);
        cell_of(k->resolution, unit, step);
        snprintf(want, sizeof want, "\n| `%s` | %s | %s%s| %s%s| %s%s| %g | %s |\n", k->name,
                 k->text, offset, offset[0] ? " " : "", gain, gain[0] ? " " : "", step,
                 step[0] ? " " : "", k->lag_s, k->source);
        ck_assert_msg(strstr(text, want) != NULL, "%s should have:%s", ADAPTER, want);
    }
    free(text);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_adapter_page_has_every_instrument, the_page_has_every_key,
                                  the_readme_has_every_key, the_adapter_page_has_every_conversion,
                                  NULL};
    return run_tests("manual", tests);
}
