/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The terminal of the live view: a screen of its own, keys, size, and everything back as it was. */
#ifndef NR_NOONLOG_TERMINAL_H
#define NR_NOONLOG_TERMINAL_H

#include "logger/watch/view.h"

#include <stdbool.h>
#include <termios.h>

typedef struct nr_terminal {
    bool open;
    struct termios before;
} nr_terminal;

/* True when stdout is a terminal that can be drawn on. */
bool nr_terminal_usable(void);

/* Columns and rows; 80 x 24 when it does not say. */
void nr_terminal_size(int *columns, int *rows);

/* Takes the alternate screen and single keys. False: not possible, nothing was changed. */
bool nr_terminal_open(nr_terminal *t);

/* Draws all lines in one write, without clearing first: nothing flickers. columns: of the terminal;
 * bell: rings once. */
void nr_terminal_draw(const nr_view *view, int columns, bool bell);

/* Gives everything back. May be called twice. */
void nr_terminal_close(nr_terminal *t);

#endif
