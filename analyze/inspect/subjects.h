/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of nr_inspect_run: one subject a file. Each looks and adds findings; order matters where
 * one cause explains several signs: the cause is looked for first and its signs then stay unsaid.
 */
#ifndef NR_INSPECT_SUBJECTS_H
#define NR_INSPECT_SUBJECTS_H

#include "analyze/inspect/inspection.h"

void nr_inspect_record(nr_inspection *inspection); /* length, gaps, duplicates, clock */
void nr_inspect_channels(
    nr_inspection *inspection); /* missing, empty, spikes, stuck, saturated, range, noise */
void nr_inspect_units(
    nr_inspection *inspection); /* columns that hold another unit; before nr_inspect_channels */
void nr_inspect_sky(nr_inspection *inspection);  /* sun against site, clock and plane */
void nr_inspect_heat(nr_inspection *inspection); /* heat balances, swapped and disagreeing probes */
void nr_inspect_pump(nr_inspection *inspection); /* pump states, stops, dead meter */
void nr_inspect_lags(nr_inspection *inspection); /* delays between channels, where they show */
void nr_inspect_conditions(
    nr_inspection *inspection); /* what the record can tell: spread, steady windows */
void nr_inspect_cautions(nr_inspection *inspection); /* lid, scald, Legionella */

nr_code nr_sky_blocks(nr_inspection *inspection, nr_err *err); /* fills block[]; free with free() */
nr_code nr_heat_balance(nr_inspection *inspection, nr_err *err); /* fills heat */

#endif
