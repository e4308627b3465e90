/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where things stand on a terminal of any size: the screen laid out a second time from the words,
 * on a grid of plain letters, and compared line by line with the view's. */
#include "logger/watch/view_words.h"
#include "tests/unit/near.h"

#include <stdarg.h>

static nr_tail t;
static nr_notes notes;
static nr_note note[12];
static nr_view view;
static nr_view_words w;
static nr_view_options o;

/* --- a run in memory -------------------------------------------------------------------------- */

/* Of so many rows a second apart; each channel rises by rate_s. */
static nr_tail_channel *channel(const char *name, const char *unit, double last, double rate_s)
{
    nr_tail_channel *c = &t.channel[t.channels++];
    snprintf(c->name, sizeof c->name, "%s", name);
    snprintf(c->label, sizeof c->label, "%s", unit);
    c->unit = nr_unit_find(unit);
    for (size_t i = 0; i < t.rows; i++)
        c->value[i] = last + rate_s * (t.time_s[i] - t.time_s[t.rows - 1]);
    c->low = c->value[0], c->high = c->last = last;
    c->last_s = c->changed_s = t.time_s[t.rows - 1];
    return c;
}

static void begin(void)
{
    memset(&t, 0, sizeof t);
    t.rows = 600;
    for (size_t i = 0; i < t.rows; i++)
        t.time_s[i] = (double)i;
    snprintf(t.folder, sizeof t.folder, "wash-stand");
    t.recording = true;
    t.state.elapsed_s = 599;
    nr_history_begin(&t.history);
    nr_tail_channel *store = channel("store", "degC", 36.7, 0.01);
    store->low = 30, store->high = 37; /* what the history is of */
    channel("air", "degC", 18, 0);
    channel("sun", "W_m2", 900, 0);
    channel("flow", "L_min", 1.5, 0);
    channel("soil_under_the_box", "degC", -4, 0);
    channel("sky", "Btu_h_ft2_degF", 2, 0); /* a long unit */
    t.channel[1].last_s = 500;              /* said nothing since */
    for (int i = 0; i < 480; i++)
        nr_history_take(&t.history, 0, i, 30 + i / 80.0);
    notes = (nr_notes){.count = 12, .note = note};
    for (size_t i = 0; i < 12; i++) {
        note[i] =
            (nr_note){.elapsed_s = 40.0 * (double)i, .kind = i % 2 ? NR_NOTE_NOTE : NR_NOTE_PUMP};
        snprintf(note[i].text, sizeof note[i].text, "number %zu%s", i,
                 i % 3 ? "" : ", of which there is a good deal more to say than goes into a line");
    }
    t.notes = &notes;
    o = (nr_view_options){.target_degC = 45, .leave_hint = true};
}

/* --- the same, laid out once more ------------------------------------------------------------- */

static struct {
    char text[NR_VIEW_LINES][1024];
    nr_view_style style[NR_VIEW_LINES];
    int lines, columns, rows;
} grid;

__attribute__((format(printf, 2, 3))) static void put(nr_view_style style, const char *format, ...)
{
    char *to = grid.text[grid.lines];
    va_list args;
    if (grid.lines == grid.rows)
        return;
    va_start(args, format);
    vsnprintf(to, sizeof grid.text[0], format, args);
    va_end(args);
    to[grid.columns] = '\0';
    grid.style[grid.lines++] = style;
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

static int most(int a, int b)
{
    return a > b ? a : b;
}

static int length(const char *text)
{
    return (int)strlen(text);
}

static void put_title(const char *title)
{
    char left[600];
    int room = grid.columns - length(w.state) - 2;
    snprintf(left, sizeof left, "%s", title);
    if (length(left) > room) { /* cut, with three dots where these have room */
        left[room > 3 ? room - 3 : 0] = '\0';
        strcat(left, room > 3 ? "..." : "");
    }
    int gap = most(0, grid.columns - length(left) - length(w.state));
    put(w.state_strange ? NR_STYLE_STRONG : NR_STYLE_PLAIN, "%s%*s%s", left, gap, "", w.state);
}

/* Greedy, at blanks; a word that has no room is broken. */
static void put_wrapped(nr_view_style style, const char *text)
{
    while (*text && grid.lines < grid.rows) {
        int take = least(length(text), grid.columns), skip = 0;
        if (text[take])
            for (int i = take - 1; i > 0 && !skip; i--)
                if (text[i] == ' ')
                    take = i, skip = 1;
        put(style, "%.*s", take, text);
        text += take + skip;
    }
}

/* Figures three dots wide and five high. */
static const char *const figures[][5] = {
    {"###", "# #", "# #", "# #", "###"}, {" # ", "## ", " # ", " # ", "###"},
    {"###", "  #", "###", "#  ", "###"}, {"###", "  #", "###", "  #", "###"},
    {"# #", "# #", "###", "  #", "  #"}, {"###", "#  ", "###", "  #", "###"},
    {"###", "#  ", "###", "# #", "###"}, {"###", "  #", "  #", " # ", " # "},
    {"###", "# #", "###", "# #", "###"}, {"###", "# #", "###", "  #", "###"},
    {"   ", "   ", "###", "   ", "   "}, {" ", " ", " ", " ", "#"}};

static void put_large(void)
{
    char head[300];
    snprintf(head, sizeof head, "water in the store%s%s", w.heat[0] ? ": " : "", w.heat);
    const char *beside[] = {head, w.rate, w.target, w.sun, w.pump, ""};
    for (int row = 0; row < 5; row++) {
        char text[600] = "  ";
        for (const char *p = w.water; *p; p++) {
            for (const char *dot = figures[*p == '.'   ? 11
                                           : *p == '-' ? 10
                                                       : *p - '0'][row];
                 *dot; dot++)
                strcat(text, *dot == '#' ? "##" : "  ");
            strcat(text, " ");
        }
        if (row == 0)
            strcat(text, w.unit);
        do
            strcat(text, " ");
        while (length(text) < 34);
        put(row == 1 || row == 2 ? NR_STYLE_STRONG : NR_STYLE_PLAIN, "%s%s", text,
            beside[w.target[0] || row < 2 ? row : row + 1]);
    }
}

static void put_small(void)
{
    put(NR_STYLE_STRONG, "water %s %s", w.water, w.unit);
    put(NR_STYLE_PLAIN, "%.*s",
        length(w.rate) > grid.columns ? (int)strcspn(w.rate, "(") : length(w.rate), w.rate);
    if (grid.rows >= 12 && w.heat[0])
        put(NR_STYLE_PLAIN, "%s", w.heat);
    put_wrapped(NR_STYLE_STRONG, w.target);
    if (length(w.sun) + 3 + length(w.pump) <= grid.columns)
        put(NR_STYLE_PLAIN, "%s   %s", w.sun, w.pump);
    else {
        put(NR_STYLE_PLAIN, "%s", w.sun);
        put(NR_STYLE_PLAIN, "%s", w.pump);
    }
}

/* From twenty rows on. */
static void put_so_far(bool large)
{
    const char *const two[] = {w.efficiency, w.stop};
    int before = grid.lines;
    if (grid.rows < 20)
        return;
    if (large && w.course[0])
        put(NR_STYLE_PLAIN, "  %s", w.course);
    for (int i = 0; i < 2; i++)
        if (two[i][0]) {
            char text[300];
            snprintf(text, sizeof text, "%s%s", large ? "  " : "", two[i]);
            put_wrapped(i ? NR_STYLE_STRONG : NR_STYLE_PLAIN, text);
        }
    if (large && grid.lines > before)
        put(NR_STYLE_PLAIN, "%s", "");
}

static void put_channel(const nr_tail_channel *c, int names)
{
    char now[24], low[24], high[24], rate[24] = "", remark[80], unit[24];
    nr_view_remark(&t, c, remark, sizeof remark);
    nr_view_number(c, o.fahrenheit, remark[0] ? NAN : c->last, now, sizeof now);
    nr_view_number(c, o.fahrenheit, c->low, low, sizeof low);
    nr_view_number(c, o.fahrenheit, c->high, high, sizeof high);
    if (strncmp(c->label, "deg", 3) == 0) /* by its two ends: it is straight */
        snprintf(rate, sizeof rate, "%+.2f",
                 (c->value[599] - c->value[0]) / 599 * 60 * (o.fahrenheit ? 1.8 : 1));
    snprintf(unit, sizeof unit, "%-6s", nr_view_label(c, &o));
    nr_view_style style = remark[0] ? NR_STYLE_STRONG : NR_STYLE_PLAIN;
    if (grid.columns >= 64) {
        char both[64]; /* the unit, what is a minute: fifteen columns, however long the unit is */
        snprintf(both, sizeof both, "%s %*s", unit, 8 - (length(unit) - 6), rate);
        put(style, "  %-*.*s %7s %s %7s %7s  %s", names, names, c->name, now, both, low, high,
            remark);
    } else if (grid.columns >= 36 || remark[0])
        put(style, "%-9.9s %7s %s %s", c->name, now, unit, remark[0] ? remark : rate);
    else
        put(style, "%-9.9s %7s %s", c->name, now, nr_view_label(c, &o));
}

static void put_table(int spare)
{
    int room = most(0, grid.rows - grid.lines - spare), names = 10;
    for (size_t i = 0; i < t.channels; i++)
        names = most(names, least(length(t.channel[i].name), grid.columns - 54));
    if (room > 0 && grid.columns >= 64) {
        put(NR_STYLE_STRONG, "  %-*s %7s %15s %7s %7s", names, "channel", "now", "a minute",
            "lowest", "highest");
        room--;
    }
    int whole = room >= (int)t.channels ? (int)t.channels : most(0, room - 1);
    for (int i = 0; i < whole; i++)
        put_channel(&t.channel[i], names);
    if (room > 0 && whole < (int)t.channels)
        put(NR_STYLE_PLAIN, "  and %d more channels", (int)t.channels - whole);
}

/* The last ones; those that are cut say so. */
static void put_notes(int spare)
{
    int room = least(12, most(0, grid.rows - grid.lines - spare));
    for (int i = 12 - room; i < 12; i++) {
        char text[600];
        snprintf(text, sizeof text, "   0:%02d:%02d  %-6s  %s", 40 * i / 60, 40 * i % 60,
                 i % 2 ? "note" : "pump", note[i].text);
        if (length(text) > grid.columns && grid.columns > 3)
            put(NR_STYLE_PLAIN, "%.*s...", grid.columns - 3, text);
        else
            put(NR_STYLE_PLAIN, "%s", text);
    }
}

static void lay_out(int columns, int rows)
{
    memset(&grid, 0, sizeof grid);
    grid.columns = most(1, least(160, columns));
    grid.rows = most(1, least(100, rows));
    bool large = grid.columns >= 78 && grid.rows >= 16;
    int hint = o.leave_hint && grid.rows > 8;
    if (grid.rows > 4)
        put_title(t.has_rig && t.rig.title[0] ? t.rig.title : t.folder);
    if (large)
        put(NR_STYLE_PLAIN, "%s", ""), put_large(), put(NR_STYLE_PLAIN, "%s", "");
    else
        put_small();
    put_wrapped(NR_STYLE_WARNING, w.warning);
    put_wrapped(NR_STYLE_WARNING, w.supply);
    put_wrapped(NR_STYLE_STRONG, t.trouble);
    if (large && (w.warning[0] || w.supply[0] || t.trouble[0]) && grid.lines < grid.rows)
        put(NR_STYLE_PLAIN, "%s", "");
    put_so_far(large);
    put_table(hint + (large ? 3 : 0));
    if (large && grid.rows - grid.lines > hint + 1)
        put(NR_STYLE_PLAIN, "%s", "");
    put_notes(hint + (large ? 1 : 0));
    while (hint && grid.lines < grid.rows - 1)
        put(NR_STYLE_PLAIN, "%s", "");
    if (hint)
        put(NR_STYLE_PLAIN, "q ends this view%s", t.recording ? "; the recording goes on" : "");
}

/* A letter that is none of ASCII is one mark there. */
static void plain(char *text)
{
    char *to = text;
    for (; *text; text++)
        if ((*text & 0x80) == 0 || (*text & 0x40) != 0)
            *to++ = *text & 0x80 ? '?' : *text;
    *to = '\0';
}

/* Nothing is asserted that agrees: Check notes each assertion in a file. */
static void same_screen(int columns, int rows)
{
    o.columns = columns, o.rows = rows;
    nr_view_compose(&t, &o, &view);
    nr_view_say(&t, &o, &w);
    plain(w.warning);
    lay_out(columns, rows);
    if ((int)view.count != grid.lines)
        ck_abort_msg("%d x %d: %zu lines, not %d", columns, rows, view.count, grid.lines);
    for (int i = 0; i < grid.lines; i++)
        if (strcmp(view.line[i].text, grid.text[i]) != 0 || view.line[i].style != grid.style[i])
            ck_abort_msg("%d x %d, line %d: \"%s\" (%d), not \"%s\" (%d)", columns, rows, i,
                         view.line[i].text, (int)view.line[i].style, grid.text[i],
                         (int)grid.style[i]);
}

/* Each size at which something changes, and the ones beside it; and one drawn between. */
static void every_size(void)
{
    static const int columns[] = {-3, 0,  1,  2,  3,  4,  5,  8,  9,   18,  24,  25, 26,
                                  34, 35, 36, 37, 46, 63, 64, 65, 66,  70,  71,  72, 73,
                                  74, 77, 78, 79, 80, 97, 98, 99, 159, 160, 161, 900};
    static const int rows[] = {-1, 0,  1,  4,  5,  8,  9,  11, 12,  13,  15,
                               16, 17, 19, 20, 21, 24, 33, 99, 100, 101, 900};
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
        for (size_t k = i % 2; k < sizeof rows / sizeof *rows; k += 2)
            same_screen(columns[i], rows[k]);
    for (int i = 78; i < 80; i++)
        for (size_t k = 0; k < sizeof rows / sizeof *rows; k++)
            same_screen(i - 1, rows[k]);
}

START_TEST(a_run_with_little_to_say)
{
    begin();
    every_size();
}
END_TEST

static nr_interim told = {.fitted = true, .collectors = 1};

static void much_to_say(void)
{
    begin();
    told.collector[0].efficiency = (nr_interim_range){0.62, 0.58, 0.66};
    told.collector[0].eta0 = (nr_interim_range){0.71, 0.66, 0.76};
    o.interim = &told;
    t.has_rig = t.has_state = true;
    snprintf(t.rig.title, sizeof t.rig.title,
             "A wash stand at the garden gate, second trial, with a lid");
    t.file.builds = 1;
    t.rig.store.water_kg = (nr_value){.given = true, .value = 40};
    t.channel[0].last = 57;
    t.state.supply = (nr_supply){.free_bytes = 90e6, .battery_percent = 8};
    t.state.awake = NR_AWAKE_NOT;
    snprintf(t.trouble, sizeof t.trouble,
             "a row of readings.csv that nobody can read was passed over");
}

START_TEST(a_run_with_much_to_say)
{
    much_to_say();
    every_size();
    t.recording = false; /* and what of it is left afterwards */
    every_size();
    snprintf(t.channel[0].name, NR_NAME, "pond");
    every_size();
    o.leave_hint = false;
    o.target_degC = NAN;
    every_size();
}
END_TEST

START_TEST(each_warning_alone)
{
    for (int which = 0; which < 3; which++) {
        much_to_say();
        t.channel[0].last = which == 0 ? 57 : 36.7;
        t.has_state = which == 1;
        t.trouble[0] = which == 2 ? 'a' : '\0';
        same_screen(80, 24);
        same_screen(78, 16);
    }
}
END_TEST

/* Every figure, a minus, and more figures than leave a column before the words. */
START_TEST(large_figures)
{
    static const double water[] = {12.3, 45.6, 78.9, -10.5, -1234.5, -98765.4};
    for (size_t i = 0; i < sizeof water / sizeof *water; i++) {
        begin();
        t.channel[0].last = water[i];
        same_screen(80, 24);
        same_screen(140, 40);
        o.fahrenheit = true;
        same_screen(80, 24);
    }
}
END_TEST

/* One mark for a letter, of however many bytes; and signs where there are any. */
START_TEST(letters)
{
    static const char *const lines[] = {"   0:00:00  pump    a ? b ? c ? d",
                                        "   0:00:00  pump    a — b ° c \xf0\x9f\x8c\x9e d"};
    for (int utf8 = 0; utf8 < 2; utf8++) {
        begin();
        snprintf(note[0].text, sizeof note[0].text, "a — b ° c \xf0\x9f\x8c\x9e d");
        notes.count = 1;
        o.utf8 = utf8;
        o.columns = 80, o.rows = 24;
        nr_view_compose(&t, &o, &view);
        bool there = false;
        for (size_t i = 0; i < view.count; i++)
            there = there || strcmp(view.line[i].text, lines[utf8]) == 0;
        ck_assert_msg(there, "%s", lines[utf8]);
        ck_assert_int_eq(strstr(view.line[2].text, "██") != NULL, utf8);
        ck_assert_int_eq(strstr(view.line[2].text, "##") != NULL, !utf8);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_run_with_little_to_say,
                                  a_run_with_much_to_say,
                                  each_warning_alone,
                                  large_figures,
                                  letters,
                                  NULL};
    return run_tests("view_layout", tests);
}
