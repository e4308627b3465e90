/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What of a PDF depends on when it was written (ISO 32000-1). */
#ifndef NR_MANIFEST_PDF_H
#define NR_MANIFEST_PDF_H

#include <stdbool.h>
#include <stddef.h>

/* Blanks the date of creation where it stands in the open; false: it does not. */
bool nr_pdf_blank_date(char *bytes, size_t length);

/* Where it stands in a compressed stream of objects (7.5.7; what writes PDF 1.5 does so), the file
 * differs in more than the date: in how well that stream was packed, in its length, in the index of
 * places behind it (7.5.8). A new text of what was before the stream and of what is in it, the date
 * blanked; the index, which follows from these, is left out. NULL: it is no such file, or something
 * stands behind the index, or memory ran out. Free it; *kept: its length. */
char *nr_pdf_without_date(const char *bytes, size_t length, size_t *kept);

#endif
