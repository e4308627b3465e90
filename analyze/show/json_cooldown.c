/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/show/cooldown.h"
#include "analyze/show/json.h"
#include "analyze/tell/cooldown.h"
#include "analyze/tell/tell.h"

nr_code nr_json_cooldown(FILE *to, const nr_cooldown *x, nr_err *err)
{
    char sentence[NR_TELL], limits[NR_TELL];
    nr_tell_cooldown(sentence, sizeof sentence, x, NR_UNITS_SI);
    nr_tell_cooldown_limits(limits, sizeof limits, x);
    json_t *run = json_pack("{s:o, s:o, s:I, s:o, s:I}", "folder", nr_json_text(x->folder), "title",
                            nr_json_text(x->title), "rows", (json_int_t)x->rows, "duration_s",
                            nr_json_number(x->duration_s), "used", (json_int_t)x->used);
    json_t *parameters = json_pack("{s:n, s:n, s:n, s:n, s:o}", "eta0", "a1", "a2", "a5",
                                   "store_loss", nr_json_quantity(&x->loss_W_K));
    json_t *budget =
        json_pack("{s:o, s:o, s:o, s:o}", "probes", nr_json_number(x->share_probes), "readings",
                  nr_json_number(x->share_noise), "masses", nr_json_number(x->share_water), "law",
                  nr_json_number(x->share_model));
    json_t *root = json_pack(
        "{s:s, s:s, s:b, s:[o], s:{s:o, s:n}, s:s, s:b, s:o, s:n, s:o, s:o, s:o, s:o, s:o, s:o, "
        "s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
        "program", "noonfit", "version", NOONRUN_VERSION, "cool_down", 1, "runs", run, "collector",
        "name", nr_json_text(x->collector), "gross_area_m2", "model", "store",
        "loss_includes_store", 0, "parameters", parameters, "curve", "time_constant_s",
        nr_json_number(x->time_constant_s), "from_degC", nr_json_number(x->from_degC), "to_degC",
        nr_json_number(x->to_degC), "air_degC", nr_json_number(x->air_degC), "over_air_K",
        nr_json_pair(x->over_air_K), "heat_capacity_J_K", nr_json_number(x->heat_capacity_J_K),
        "residual_rms_K", nr_json_number(x->rms_K), "shares", budget, "sentence",
        nr_json_text(sentence), "limits", nr_json_text(limits), "trust", nr_json_trust(&x->trust),
        "warnings", nr_json_warnings(&x->warnings), "cautions", nr_json_warnings(&x->cautions));
    return nr_json_write(to, root, err);
}
