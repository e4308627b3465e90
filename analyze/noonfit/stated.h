/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A value of the command line with its standard uncertainty: "6gal+-0.1gal", "850+-5%", "64F+-1".
 * The uncertainty in the value's own unit where it has none, or in per cent of the value; "+-" or
 * the sign for it. Without one, u stays as it was. NULL text leaves all alone. */
#ifndef NR_NOONFIT_STATED_H
#define NR_NOONFIT_STATED_H

#include "analyze/tally/tally.h"
#include "logger/command/command.h"

/* In `unit` (base/units.h), as NR_OPTION_QUANTITY; the value within low..high. */
nr_code nr_stated_quantity(const nr_command *command, const char *name, const char *text,
                           const char *unit, double low, double high, nr_stated *out, nr_err *err);

/* degC; a bare number in fahrenheit ? degF : degC. */
nr_code nr_stated_temperature(const nr_command *command, const char *name, const char *text,
                              bool fahrenheit, double low, double high, nr_stated *out,
                              nr_err *err);

/* Seconds, as NR_OPTION_DURATION. */
nr_code nr_stated_duration(const nr_command *command, const char *name, const char *text,
                           double low, double high, nr_stated *out, nr_err *err);

#endif
