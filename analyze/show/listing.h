/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit list` as text, as JSON and as CSV. */
#ifndef NR_SHOW_LISTING_H
#define NR_SHOW_LISTING_H

#include "analyze/listing/listing.h"
#include "analyze/tell/display.h"

void nr_show_listing(FILE *to, const nr_listing *listing, nr_units units);
nr_code nr_json_listing(FILE *to, const nr_listing *listing, nr_err *err);
nr_code nr_csv_listing(FILE *to, const nr_listing *listing, nr_err *err);

#endif
