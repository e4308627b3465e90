/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit pump`: what the loop's flow does, and what another pump would change.
 *
 * The heat removal factor FR against flow by Duffie and Beckman (physics/collector.h) from the
 * fitted collector: FR = (c/UL)(1 - exp(-UL F'/c)), c = mass flow * cp / area, F' = h/(h + UL). The
 * absorber-to-fluid conductance h moves with flow as far as the film in the tube is a part of it.
 * What the absorber gets is that of the fitted model's steady state (model/steady.h): the sun by
 * its modifier, less what goes aside, and the sky's part where there is one.
 */
#ifndef NR_PUMP_PUMP_H
#define NR_PUMP_PUMP_H

#include "analyze/fit/fit.h"
#include "analyze/fit/panel_pump.h"
#include "analyze/physics/tube.h"

#define NR_PUMP_ROWS 7
#define NR_PUMP_CURVE 65 /* a sixteenth of an octave apart */

/* The collector at one flow, at the record's mean sun, air and store temperature. */
typedef struct nr_pump_row {
    double times; /* of the record's flow */
    double flow_L_min;
    double reynolds;   /* NAN: tube not known */
    nr_bounds drop_Pa; /* regime and friction of the tube; NAN: not known */
    double removal;    /* FR */
    double gain_W;
    double outlet_degC;
    nr_quantity change; /* of the heat gained against the record's flow, relative */
} nr_pump_row;

typedef struct nr_pump {
    nr_fit *fit;
    bool flow_measured;
    nr_quantity flow_L_min; /* mean while running; not known without a flow channel or outlet */
    bool tube_known;
    nr_tube tube;
    double water_degC, sun_W_m2, air_degC; /* the conditions of the rows */
    double transit_s, speed_m_s;
    double hydraulic_W[2];                /* flow times pressure drop, bounds */
    nr_quantity removal;                  /* FR at the record's flow */
    double loss_W_m2K, efficiency_factor; /* UL and F' behind it */
    size_t rows;
    nr_pump_row row[NR_PUMP_ROWS]; /* rising flow */
    /* The same from a quarter of the record's flow, the first, to four times, the last; the
     * record's own is in the middle. For pictures. */
    nr_pump_row curve[NR_PUMP_CURVE];
    nr_panel_pump panel;
    double power_at_twice[2]; /* pumping power at twice the flow over that now, bounds; NAN */
    nr_warnings cautions;
} nr_pump;

/* runs[count]: all of one collector. coil_diameter_m: of the centre line of a turn, NAN: taken as
 * straight. */
nr_code nr_pump_runs(const nr_run *const *runs, size_t count, double coil_diameter_m,
                     const nr_fit_options *options, nr_pump **out, nr_err *err);
void nr_pump_free(nr_pump *pump);

/* The row at so many times the record's flow, one of 0.25, 0.5, 0.75, 1, 1.5, 2, 4; else NULL. */
const nr_pump_row *nr_pump_row_of(const nr_pump *pump, double times);

#endif
