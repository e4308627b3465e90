/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of nr_inspect_run: one subject a file. Each looks and adds findings; order matters where
 * one cause explains several signs: the cause is looked for first and its signs then stay unsaid.
 */
#ifndef NR_INSPECT_SUBJECTS_H
#define NR_INSPECT_SUBJECTS_H

#include "analyze/inspect/inspection.h"

void nr_look_record(nr_inspection *look); /* length, gaps, duplicates, clock */
void nr_look_channels(
    nr_inspection *look); /* missing, empty, spikes, stuck, saturated, range, noise */
void nr_look_units(
    nr_inspection *look);              /* columns that hold another unit; before nr_look_channels */
void nr_look_sky(nr_inspection *look); /* sun against site, clock and plane */
void nr_look_heat(nr_inspection *look);     /* heat balances, swapped and disagreeing probes */
void nr_look_pump(nr_inspection *look);     /* pump states, stops, dead meter */
void nr_look_lags(nr_inspection *look);     /* delays between channels, where they show */
void nr_look_worth(nr_inspection *look);    /* what the record can tell: spread, steady windows */
void nr_look_cautions(nr_inspection *look); /* lid, scald, Legionella */

nr_code nr_sky_blocks(nr_inspection *look, nr_err *err);   /* fills block[]; free with free() */
nr_code nr_heat_balance(nr_inspection *look, nr_err *err); /* fills heat */

#endif
