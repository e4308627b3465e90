/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit tally`. */
#include "analyze/show/json.h"
#include "analyze/show/tally.h"
#include "analyze/tell/tally.h"
#include "analyze/tell/tell.h"

#include <math.h>

static json_t *inputs(const nr_tally *t)
{
    static const char *const unit[NR_TALLY_INPUTS] = {"kg", "m2", "degC", "degC", "s", "W/m2"};
    json_t *list = json_array();
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        if (!isfinite(t->asked.input[i].value))
            continue;
        json_array_append_new(
            list,
            json_pack(
                "{s:s, s:s, s:o, s:o, s:s, s:b, s:s, s:o, s:o, s:o}", "input",
                nr_tally_input_name((nr_tally_input)i), "label",
                nr_tally_input_words((nr_tally_input)i), "value",
                nr_json_number(t->asked.input[i].value), "u", nr_json_number(t->asked.input[i].u),
                "unit", unit[i], "stated", t->u_stated[i], "source",
                t->u_stated[i] ? "" : nr_tally_usual_source((nr_tally_input)i, t->asked.clear_sky),
                "share_heat", nr_json_number(t->share[NR_TALLY_HEAT][i]), "share_power",
                nr_json_number(t->share[NR_TALLY_POWER][i]), "share_run_efficiency",
                t->sun_known ? nr_json_number(t->share[NR_TALLY_EFFICIENCY][i]) : json_null()));
    }
    return list;
}

static json_t *further(const nr_tally *t)
{
    json_t *list = json_array();
    char text[NR_TELL];
    for (int m = 0; m < NR_TALLY_MORES; m++) {
        nr_tell_tally_more(text, sizeof text, t, (nr_tally_more)m, NR_UNITS_SI);
        if (text[0])
            json_array_append_new(list, json_pack("{s:s, s:o, s:o, s:s}", "code",
                                                  nr_tally_more_name((nr_tally_more)m), "text",
                                                  nr_json_text(text), "u_loss",
                                                  nr_json_number(t->more_u[m]), "unit",
                                                  m == NR_TALLY_COOLING ? "W/K" : "W/(m2 K)"));
    }
    return list;
}

nr_code nr_json_tally(FILE *to, const nr_tally *t, nr_err *err)
{
    char sentence[NR_TELL], limits[NR_TELL], cannot[NR_TELL];
    nr_tell_tally(sentence, sizeof sentence, t, NR_UNITS_SI);
    nr_tell_tally_limits(limits, sizeof limits, t, NR_UNITS_SI);
    nr_tell_tally_cannot(cannot, sizeof cannot, t, NR_UNITS_SI);
    json_t *root = json_pack(
        "{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:s, s:o, s:I, s:I, s:o, s:o, "
        "s:o, s:o, s:o}",
        "program", "noonfit", "version", NOONRUN_VERSION, "heat_J",
        nr_json_quantity(&t->result[NR_TALLY_HEAT]), "power_W",
        nr_json_quantity(&t->result[NR_TALLY_POWER]), "run_efficiency",
        nr_json_quantity(&t->result[NR_TALLY_EFFICIENCY]), "sun_J", nr_json_number(t->sun_J),
        "irradiance_W_m2", nr_json_number(t->asked.input[NR_TALLY_SUN].value), "clear_sky",
        t->asked.clear_sky, "incidence_deg", nr_json_number(t->incidence_deg), "over_air_K",
        nr_json_number(t->over_air_K), "inputs", inputs(t), "dominates",
        nr_tally_input_name(t->dominates), "further", further(t), "draws",
        (json_int_t)t->asked.draws, "seed", (json_int_t)t->asked.seed, "sentence",
        nr_json_text(sentence), "limits", nr_json_text(limits), "cannot", nr_json_text(cannot),
        "trust", nr_json_trust(&t->trust), "cautions", nr_json_warnings(&t->cautions));
    return nr_json_write(to, root, err);
}
