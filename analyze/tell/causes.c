/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can be done about an input that limits an answer. Common practice, no source. */
#include "analyze/joint/term.h"
#include "analyze/tell/tell.h"

static const char *const action[NR_TERMS + 1] = {
    [NR_TERM_OPTICAL] = "a longer test",
    [NR_TERM_LOSS] = "a second run that starts hot",
    [NR_TERM_LN_EXCHANGE] = "outlet and flow measured",
    [NR_TERM_LN_CAPACITY] = "a longer test",
    [NR_TERM_MODEL_GAIN] = "nothing: the model's own error",
    [NR_TERM_MODEL_LOSS] = "nothing: the model's own error",
    [NR_TERM_AREA] = "measure the frame again",
    [NR_TERM_LOSS2] = "a second run that starts hot",
    [NR_TERM_ROOT_COVER] = "a longer test",
    [NR_TERM_WIND] = "a wind channel, or a calm day",
    [NR_TERM_WIND_GAIN] = "a wind channel, or a calm day",
    [NR_TERM_SKY] = "a sky channel",
    [NR_TERM_LN_FLUID] = "fill the tube and weigh it",
    [NR_TERM_WATER] = "weigh the water",
    [NR_TERM_DRY] = "weigh the empty container",
    [NR_TERM_STORE_LOSS] = "a cool-down of the container alone",
    [NR_TERM_SUN_GAIN] = "a calibrated pyranometer",
    [NR_TERM_SUN_OFFSET] = "a calibrated pyranometer",
    [NR_TERM_AIR_OFFSET] = "all probes in one stirred bath",
    [NR_TERM_SKY_OFFSET] = "a sky channel",
    [NR_TERM_LN_FLOW] = "flow by bucket, scales and watch",
    [NR_TERM_FLOW_EXPONENT] = "a flow meter",
    [NR_TERM_B0] = "a test about noon",
    [NR_TERM_LAYERS] = "stir the container",
    [NR_TERM_OFFSET_STORE] = "all probes in one stirred bath",
    [NR_TERM_OFFSET_INLET] = "all probes in one stirred bath",
    [NR_TERM_OFFSET_OUTLET] = "all probes in one stirred bath",
    [NR_TERM_GAIN_STORE] = "a second, warm bath",
    [NR_TERM_GAIN_INLET] = "a second, warm bath",
    [NR_TERM_GAIN_OUTLET] = "a second, warm bath",
    [NR_TERM_T_STORE] = "a longer test",
    [NR_TERM_T_COLLECTOR] = "a longer test",
    [NR_TERM_MODEL_GAIN_LIKE] = "nothing: the model's own error",
    [NR_TERM_MODEL_LOSS_LIKE] = "nothing: the model's own error",
    [NR_TERM_LN_PUMP] = "the pump's power measured",
    [NR_TERM_OPENING] = "measure the opening",
    [NR_TERM_HUMIDITY] = "a humidity channel",
    [NR_TERM_LN_BACK] = "weigh the board",
    [NR_TERM_LN_GAP] = "a longer test",
    [NR_TERM_LOST] = "weigh the water at the end, too",
    [NR_TERM_LOSS_TREND] = "a wind channel, or a calm day",
    [NR_TERM_SUN_UNSEEN] = "readings more often",
    [NR_TERM_SUN_FADE] = "an irradiance sensor kept clean and dry",
    [NR_TERM_SUN_ON_AIR] = "shade the air probe",
    [NR_TERM_DRIFT_INLET] = "all probes in one stirred bath",
    [NR_TERM_DRIFT_OUTLET] = "all probes in one stirred bath",
    [NR_TERM_DRIFT_STORE] = "all probes in one stirred bath",
    [NR_TERM_DEW] = "begin with a dry collector",
    [NR_TERM_LN_DRIES] = "begin with a dry collector",
    [NR_TERM_ASIDE] = "channels diffuse and sky",
    [NR_TERMS] = "a longer test under a steadier sky",
};

/* Where the rig file does not say it. */
static const char *const statement[NR_TERMS + 1] = {
    [NR_TERM_SUN_GAIN] = "state the sensor's plane in rig.ini",
    [NR_TERM_SUN_FADE] = "state the sensor's plane in rig.ini",
    [NR_TERM_LN_BACK] = "state the back in rig.ini",
    [NR_TERM_LN_GAP] = "state the back in rig.ini",
    [NR_TERM_LN_PUMP] = "state pump_W in rig.ini",
    [NR_TERM_OPENING] = "state lid and opening in rig.ini",
    [NR_TERM_SUN_ON_AIR] = "shade the air probe, and say so",
};

/* What somebody took or guessed in place of a measurement: the term's second label. */
static const char *const measurement[NR_TERMS + 1] = {
    [NR_TERM_SUN_GAIN] = "a pyranometer",
    [NR_TERM_LN_FLOW] = "a flow meter",
};

const char *nr_cause_action(const nr_budget_item *item)
{
    int t = item->term;
    if (t < 0 || t > NR_TERMS)
        return "";
    return item->ask[0] && statement[t]           ? statement[t]
           : item->variant == 1 && measurement[t] ? measurement[t]
                                                  : action[t];
}
