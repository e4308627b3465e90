/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/inside.h"

#include "logger/base/text.h"
#include "logger/watch/target.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>

/* A curve is larger than the rest and changes slowly. */
#define CURVE_S 10.0
/* An event that says nothing new, so that a line that is dead shows as dead. */
#define ALIVE_S 10.0

/* Takes over json. */
static void make_frame(nr_source *s, nr_topic topic, char *json, double now_s)
{
    nr_frame *f = &s->frame[topic];
    char *text = NULL;
    int n = json ? asprintf(&text, "event: %s\ndata: %s\n", nr_topic_name[topic], json) : -1;
    free(json);
    if (n < 0)
        return;
    if (f->text && strcmp(f->text, text) == 0 &&
        (topic != NR_TOPIC_STATE || now_s - f->made_s < ALIVE_S)) {
        free(text);
        return;
    }
    free(f->text);
    *f = (nr_frame){text, (size_t)n, f->number + 1, now_s};
}

static void make_frames(nr_source *s, double now_s)
{
    for (int topic = 0; topic < NR_TOPICS; topic++) {
        const nr_frame *f = &s->frame[topic];
        if (topic == NR_TOPIC_CURVE && f->text && s->tail->all_rows > 60 &&
            now_s - f->made_s < CURVE_S)
            continue;
        make_frame(s, (nr_topic)topic, nr_state_json((nr_topic)topic, s->tail, &s->view), now_s);
    }
}

nr_code nr_source_open(nr_source *s, const nr_serve_options *o, nr_err *err)
{
    unsigned boot = 1;
    nr_code code = nr_tail_open(o->folder, &s->tail, err);
    if (code != NR_OK)
        return code;
    if (!nr_ask_open(&s->ask, o->folder, o->noonfit))
        return nr_fail(err, NR_BAD, o->folder, 0, "too many files are open");
    if (getrandom(&boot, sizeof boot, 0) < 0)
        boot = 1;
    s->boot = boot;
    const char *units = o->units[0] ? o->units : s->tail->has_rig ? s->tail->rig.units : "";
    s->view = (nr_view_options){.columns = 80,
                                .rows = 24,
                                .fahrenheit = nr_units_us(units),
                                .utf8 = true,
                                .target_degC = o->target_degC};
    s->reached = false;
    if (!s->tail->recording) /* in a run that has ended it is no news */
        nr_target_look(s->tail, o->target_degC, &s->reached);
    make_frames(s, 0.0);
    return NR_OK;
}

void nr_source_again(nr_source *s, double now_s)
{
    nr_tail_update(s->tail);
    nr_target_look(s->tail, s->view.target_degC, &s->reached);
    s->view.interim = s->ask.answered ? &s->ask.interim : NULL;
    make_frames(s, now_s);
}

void nr_source_turn(nr_source *s, bool watched, double now_s)
{
    nr_ask_step(&s->ask, watched ? s->tail->all_rows : 0, now_s);
    nr_source_again(s, now_s);
}

void nr_source_target(nr_source *s, double target_degC)
{
    s->view.target_degC = target_degC;
    s->reached = false;
}

void nr_source_close(nr_source *s)
{
    if (!s->tail)
        return;
    nr_ask_close(&s->ask);
    nr_tail_free(s->tail);
    for (int topic = 0; topic < NR_TOPICS; topic++)
        free(s->frame[topic].text);
}
