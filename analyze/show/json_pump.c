/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The JSON document of `noonfit pump`. */
#include "analyze/show/json.h"
#include "analyze/show/show.h"
#include "analyze/tell/tell.h"

static json_t *bounds(const nr_bounds *b)
{
    return json_pack("[o, o]", nr_json_number(b->low), nr_json_number(b->high));
}

static json_t *row(const nr_pump_row *r)
{
    return json_pack("{s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "flow_L_min",
                     nr_json_number(r->flow_L_min), "reynolds", nr_json_number(r->reynolds),
                     "regime", nr_flow_regime_name(r->drop_Pa.regime), "pressure_drop_Pa",
                     bounds(&r->drop_Pa), "heat_removal_factor", nr_json_number(r->removal),
                     "gain_W", nr_json_number(r->gain_W), "outlet_degC",
                     nr_json_number(r->outlet_degC), "change", nr_json_quantity(&r->change));
}

static json_t *threshold(const nr_pump_threshold *t)
{
    return json_pack("{s:I, s:o}", "events", (json_int_t)t->events, "irradiance_W_m2",
                     nr_json_quantity(&t->W_m2));
}

nr_code nr_json_pump(FILE *to, const nr_pump *p, nr_err *err)
{
    char sentence[NR_TELL], faster[NR_TELL], panel[NR_TELL];
    json_t *rows = json_array();
    nr_tell_pump(sentence, sizeof sentence, p, NR_UNITS_SI);
    nr_tell_pump_faster(faster, sizeof faster, p, NR_UNITS_SI);
    nr_tell_pump_panel(panel, sizeof panel, p, NR_UNITS_SI);
    for (size_t i = 0; i < p->rows; i++)
        json_array_append_new(rows, row(&p->row[i]));
    json_t *root = json_pack(
        "{s:s, s:s, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o}",
        "program", "noonfit", "version", NOONRUN_VERSION, "flow_L_min",
        nr_json_quantity(&p->flow_L_min), "flow_measured", p->flow_measured, "transit_s",
        nr_json_number(p->transit_s), "hydraulic_power_W", nr_json_pair(p->hydraulic_W),
        "heat_removal_factor", nr_json_quantity(&p->removal), "loss_W_m2K",
        nr_json_number(p->loss_W_m2K), "efficiency_factor", nr_json_number(p->efficiency_factor),
        "flows", rows, "panel_driven", p->panel.driven, "start", threshold(&p->panel.start),
        "stall", threshold(&p->panel.stall), "sentence", nr_json_text(sentence), "faster",
        nr_json_text(faster), "panel", nr_json_text(panel), "cautions",
        nr_json_warnings(&p->cautions));
    return nr_json_write(to, root, err);
}
