/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/progress.h"

#include "logger/noonlog/commands.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

void nr_progress_init(nr_progress *p, bool quiet, bool background)
{
    p->quiet = quiet;
    p->live = !quiet && !background && isatty(STDERR_FILENO);
    p->drawn = false;
}

static void wipe(nr_progress *p)
{
    if (p->drawn)
        fputs("\r\033[K", stderr);
    p->drawn = false;
}

void nr_progress_say(void *progress, const char *line)
{
    nr_progress *p = progress;
    if (p->quiet)
        return;
    wipe(p);
    fprintf(stderr, NR_PROGRAM ": %s\n", line);
}

static size_t width(void)
{
    struct winsize w;
    if (ioctl(STDERR_FILENO, TIOCGWINSZ, &w) < 0 || w.ws_col < 20)
        return 79;
    return w.ws_col < 200 ? (size_t)w.ws_col - 1 : 199;
}

static size_t add(char *out, size_t size, size_t used, const char *text)
{
    size_t length = strlen(text);
    if (used + length >= size)
        return used; /* whole pieces only: a number is never cut in two */
    memcpy(out + used, text, length + 1);
    return used + length;
}

void nr_progress_show(void *progress, const nr_record_view *view)
{
    nr_progress *p = progress;
    char line[256], piece[160];
    if (!p->live)
        return;
    long s = lround(floor(view->elapsed_s));
    snprintf(line, sizeof line, "%ld:%02ld:%02ld  %lu rows", s / 3600, s / 60 % 60, s % 60,
             view->rows);
    size_t used = strlen(line), most = width() + 1;
    if (view->trouble[0])
        used = add(line, most, used, "  disk in trouble");
    if (view->waiting)
        used = add(line, most, used, "  waiting for the port");
    for (size_t c = 0; view->last && c < view->rig->channels; c++) {
        const nr_rig_channel *channel = &view->rig->channel[c];
        const nr_unit *unit =
            nr_units_us(view->rig->units) ? nr_unit_us(channel->unit) : nr_rig_column_unit(channel);
        double value = view->last->value[c];
        if (isnan(value))
            snprintf(piece, sizeof piece, "  %s -", channel->name);
        else
            snprintf(piece, sizeof piece, "  %s %.4g %s", channel->name,
                     nr_unit_from_canonical(unit, value), unit->label);
        used = add(line, most, used, piece);
    }
    fprintf(stderr, "\r%s\033[K", line);
    p->drawn = true;
}

void nr_progress_end(nr_progress *p)
{
    wipe(p);
}
