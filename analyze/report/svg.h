/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A gnuplot SVG made part of a page. Used by report/ only. */
#ifndef NR_REPORT_SVG_H
#define NR_REPORT_SVG_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stdio.h>

/* Writes the svg element of the text: without prologue, with the alternative text as its label,
 * every id and reference prefixed so that several pictures can share a page, gnuplot's own titles
 * left out. False: this is no SVG, or it holds something that has no place in a picture (a script,
 * an event handler, a reference that leaves the page). prefix: letters and digits. */
bool nr_svg_inline(FILE *to, const char *svg, const char *prefix, const char *alternative);

#endif
