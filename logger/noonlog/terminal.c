/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/terminal.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

/* Plain ANSI control sequences (ECMA-48, and the private modes that every terminal of today and
 * every multiplexer knows): they travel over ssh as they are. */
#define ENTER "\033[?1049h\033[?25l\033[?7l" /* other screen, no cursor, no wrapping */
#define LEAVE "\033[?7h\033[?25h\033[?1049l"

bool nr_terminal_usable(void)
{
    const char *term = getenv("TERM");
    return isatty(STDOUT_FILENO) && isatty(STDIN_FILENO) && term && *term &&
           strcmp(term, "dumb") != 0;
}

void nr_terminal_size(int *columns, int *rows)
{
    struct winsize w;
    bool known = ioctl(STDOUT_FILENO, TIOCGWINSZ, &w) == 0 && w.ws_col > 0 && w.ws_row > 0;
    *columns = known ? w.ws_col : 80;
    *rows = known ? w.ws_row : 24;
}

static void put(const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t n = write(STDOUT_FILENO, bytes, count);
        if (n < 0 && errno != EINTR && errno != EAGAIN)
            return; /* the terminal is gone; its hangup ends the loop */
        if (n > 0) {
            bytes += n;
            count -= (size_t)n;
        }
    }
}

bool nr_terminal_open(nr_terminal *t)
{
    struct termios now;
    if (tcgetattr(STDIN_FILENO, &t->before) < 0)
        return false;
    now = t->before;
    /* Keys one by one, and ^C and ^Z as keys: the screen is always given back. */
    now.c_lflag &= (tcflag_t) ~(ICANON | ECHO | ISIG);
    now.c_cc[VMIN] = 0;
    now.c_cc[VTIME] = 0;
    if (tcsetattr(STDIN_FILENO, TCSANOW, &now) < 0)
        return false;
    t->open = true;
    put(ENTER, sizeof ENTER - 1);
    return true;
}

static const char *style_of(nr_view_style style)
{
    switch (style) {
    case NR_STYLE_STRONG:
        return "\033[1m";
    case NR_STYLE_WARNING:
        return "\033[1;7m";
    case NR_STYLE_PLAIN:
        break;
    }
    return "";
}

void nr_terminal_draw(const nr_view *view, int columns, bool bell)
{
    static char frame[NR_VIEW_LINES * (NR_VIEW_BYTES + 24) + 64];
    size_t used = (size_t)snprintf(frame, sizeof frame, "%s\033[H", bell ? "\a" : "");
    for (size_t i = 0; i < view->count; i++) {
        /* Erasing behind a full line would take its last character: the cursor stays on it. */
        bool full = nr_view_width(view->line[i].text) >= columns;
        used += (size_t)snprintf(frame + used, sizeof frame - used, "%s%s%s\033[0m%s",
                                 i > 0 ? "\r\n" : "", style_of(view->line[i].style),
                                 view->line[i].text, full ? "" : "\033[K");
    }
    used += (size_t)snprintf(frame + used, sizeof frame - used, "\033[J");
    put(frame, used);
}

void nr_terminal_close(nr_terminal *t)
{
    if (!t->open)
        return;
    t->open = false;
    put(LEAVE, sizeof LEAVE - 1);
    tcsetattr(STDIN_FILENO, TCSANOW, &t->before);
}
