/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/board/scenario.h"

#include "logger/base/text.h"

#include <errno.h>
#include <math.h>
#include <string.h>

/* --- reading ------------------------------------------------------------------------------- */

static nr_code take_line(nr_scenario *s, char *text, const char *path, long line, nr_err *err)
{
    static const char blanks[] = " \t\r\n";
    char *rest = NULL, *word = strtok_r(text, blanks, &rest);
    if (!word || word[0] == '#')
        return NR_OK;
    if (s->events == NR_SCENARIO_EVENTS)
        return nr_fail(err, NR_BAD, path, line, "more than %d events", NR_SCENARIO_EVENTS);
    nr_event *e = &s->event[s->events];
    *e = (nr_event){.line = line};
    if (!nr_parse_double(word, &e->at_s) || e->at_s < 0)
        return nr_fail(err, NR_BAD, path, line, "begins with no time in seconds");
    if (s->events > 0 && e->at_s < e[-1].at_s)
        return nr_fail(err, NR_BAD, path, line, "is earlier than the line before");
    for (size_t i = 0; (word = strtok_r(NULL, blanks, &rest)) != NULL; i++)
        if (i == NR_SCENARIO_WORDS || !nr_copy(e->word[i], sizeof e->word[i], word))
            return nr_fail(err, NR_BAD, path, line, "has too many or too long words");
    s->events++;
    return NR_OK;
}

nr_code nr_scenario_read(const char *path, nr_scenario *out, nr_err *err)
{
    char text[200];
    nr_code code = NR_OK;
    memset(out, 0, sizeof *out);
    FILE *from = fopen(path, "re");
    if (!from)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be read");
    for (long line = 1; code == NR_OK && fgets(text, sizeof text, from); line++)
        code = take_line(out, text, path, line, err);
    fclose(from);
    return code;
}

double nr_scenario_next_s(const nr_scenario *s)
{
    return s->next < s->events ? s->event[s->next].at_s : INFINITY;
}

/* --- doing --------------------------------------------------------------------------------- */

void nr_board_probe(nr_board *board, unsigned number, double degC, bool own_supply)
{
    nr_probe *p = &nr_board_wire(board)->probe[number - 1];
    if (p->rom[0] == 0)
        nr_probe_init(p, number, degC, own_supply);
    p->degC = degC;
}

typedef struct doing {
    nr_scenario *scenario;
    nr_board *board;
    nr_wire *wire;
    const nr_event *event;
    double number;   /* of the second word, NAN */
    double value;    /* of the third word, NAN */
    nr_probe *probe; /* when the second word is one's number */
} doing;

static bool do_probe(doing *d)
{
    if (!d->probe || !isfinite(d->value))
        return false;
    nr_board_probe(d->board, (unsigned)d->number, d->value, !d->scenario->feed_by_wire);
    return true;
}

static bool do_feed(doing *d)
{
    d->scenario->feed_by_wire = strcmp(d->event->word[1], "wire") == 0;
    return d->scenario->feed_by_wire || strcmp(d->event->word[1], "own") == 0;
}

static bool do_pull(doing *d)
{
    if (d->probe)
        d->probe->plugged = false;
    return d->probe != NULL;
}

static bool do_plug(doing *d)
{
    if (!d->probe)
        return false;
    d->probe->plugged = true;
    nr_probe_power_on(d->probe);
    return true;
}

static bool do_damage(doing *d)
{
    if (!d->probe || !(d->value >= 0))
        return false;
    d->probe->damage = (unsigned)d->value;
    return true;
}

static bool do_short(doing *d)
{
    d->wire->shorted = true;
    return true;
}

static bool do_open(doing *d)
{
    d->wire->shorted = false;
    return true;
}

static bool do_volt(doing *d)
{
    static const char *const pins[NR_ANALOGUE_INPUTS] = {"ntc1", "ntc2", "div1",
                                                         "div2", "cell", "pump"};
    for (size_t i = 0; i < NR_ANALOGUE_INPUTS; i++)
        if (strcmp(d->event->word[1], pins[i]) == 0 && isfinite(d->value)) {
            nr_board_analogue(d->board)->volt[i] = d->value;
            return true;
        }
    return false;
}

static bool do_supply(doing *d)
{
    nr_board_analogue(d->board)->supply_V = d->number;
    return d->number > 0;
}

static bool do_reference(doing *d)
{
    nr_board_analogue(d->board)->reference_V = d->number;
    return d->number > 0;
}

static bool do_noise(doing *d)
{
    nr_board_analogue(d->board)->noise = d->number;
    return d->number >= 0;
}

static bool do_hum(doing *d)
{
    nr_board_analogue(d->board)->hum_V = d->number;
    return d->number >= 0;
}

static bool do_pulses(doing *d)
{
    if (!(d->number == 1 || d->number == 2) || !(d->value >= 0))
        return false;
    nr_board_meter(d->board, (unsigned)d->number - 1, d->value);
    return true;
}

static bool do_ask(doing *d)
{
    nr_board_tell(d->board, d->event->word[1], strlen(d->event->word[1]));
    nr_board_tell(d->board, "\n", 1);
    return true;
}

static bool do_brown_out(doing *d)
{
    nr_board_brown_out(d->board);
    return true;
}

static bool do_hang(doing *d)
{
    nr_board_hang(d->board);
    return true;
}

static bool do_preset(doing *d)
{
    return d->value >= 0 && d->value <= UINT32_MAX &&
           nr_board_preset(d->board, d->event->word[1], (uint32_t)d->value);
}

static const struct {
    const char *word;
    bool (*act)(doing *d);
} acts[] = {
    {"probe", do_probe},   {"feed", do_feed},   {"pull", do_pull},           {"plug", do_plug},
    {"damage", do_damage}, {"short", do_short}, {"open", do_open},           {"volt", do_volt},
    {"supply", do_supply}, {"noise", do_noise}, {"reference", do_reference}, {"hum", do_hum},
    {"pulses", do_pulses}, {"ask", do_ask},     {"brown-out", do_brown_out}, {"hang", do_hang},
    {"preset", do_preset}};

static bool act(doing *d)
{
    for (size_t i = 0; i < sizeof acts / sizeof *acts; i++)
        if (strcmp(d->event->word[0], acts[i].word) == 0)
            return acts[i].act(d);
    return false;
}

nr_code nr_scenario_do(nr_scenario *s, nr_board *board, const char *path, nr_err *err)
{
    while (s->next < s->events && s->event[s->next].at_s <= nr_board_now_s(board)) {
        doing d = {.scenario = s,
                   .board = board,
                   .wire = nr_board_wire(board),
                   .event = &s->event[s->next++],
                   .number = NAN,
                   .value = NAN};
        (void)nr_parse_double(d.event->word[1], &d.number);
        (void)nr_parse_double(d.event->word[2], &d.value);
        if (d.number >= 1 && d.number <= NR_WIRE_PROBES && d.number == floor(d.number))
            d.probe = &d.wire->probe[(unsigned)d.number - 1];
        if (!act(&d))
            return nr_fail(err, NR_BAD, path, d.event->line,
                           "\"%s %s %s\" is nothing that can happen to the board", d.event->word[0],
                           d.event->word[1], d.event->word[2]);
    }
    return NR_OK;
}
