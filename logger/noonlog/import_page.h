/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog import of a page of `noonfit report`: its runs are folders again. */
#ifndef NR_NOONLOG_IMPORT_PAGE_H
#define NR_NOONLOG_IMPORT_PAGE_H

#include "logger/base/err.h"

#include <stdbool.h>

/* "PAGE.html" or "PAGE.html#2"? */
bool nr_import_is_page(const char *name);

/* A page of one run, or one of its runs (#2), becomes the folder; of a page of several runs each
 * becomes a folder of its old name inside. The folder must not be there yet. preview: only said. */
nr_code nr_import_page(const char *name, const char *folder, bool preview, nr_err *err);

#endif
