/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/energy.h"

#include "analyze/tell/round.h"
#include "plots/picture.h"

#include <math.h>

static const char *const part_name[NR_ENERGY_PARTS] = {"kept in the water", "container's loss",
                                                       "collector's loss", "warming the collector",
                                                       "not absorbed"};
/* Lighter than the palette's: in grey it would be the loss of the container. */
#define LIGHT_PURPLE "#E8BFD6"

static const char *const part_colour[NR_ENERGY_PARTS] = {NR_BLUE, NR_SKY, NR_VERMILLION,
                                                         LIGHT_PURPLE, "#F3E9B5"};

const char *nr_energy_name(const nr_fit *fit, int part)
{
    return part == NR_ENERGY_COLLECTOR && fit->loss_includes_store ? "both losses"
                                                                   : part_name[part];
}

const char *nr_energy_colour(int part)
{
    return part_colour[part];
}

bool nr_energy_told(const nr_fit *fit, int part)
{
    return part != NR_ENERGY_CONTAINER || !fit->loss_includes_store;
}

bool nr_energy_parts(const nr_fit *fit, const nr_fit_run *r, size_t i, double part[NR_ENERGY_PARTS])
{
    double sun = r->sun_W_m2[i] * fit->gross_area_m2;
    double store = isfinite(r->store_loss_W[i]) ? r->store_loss_W[i] : 0;
    part[NR_ENERGY_KEPT] = r->to_water_W[i] - store;
    part[NR_ENERGY_CONTAINER] = store;
    part[NR_ENERGY_COLLECTOR] = r->collector_loss_W[i];
    part[NR_ENERGY_WARMING] = r->absorbed_W[i] - r->to_water_W[i] - r->collector_loss_W[i];
    part[NR_ENERGY_OPTICAL] = sun - r->absorbed_W[i];
    for (int k = 0; k < NR_ENERGY_PARTS; k++)
        if (!isfinite(part[k]))
            return false;
    return true;
}

bool nr_energy_shares(const nr_fit *fit, double share[NR_ENERGY_PARTS])
{
    double others = 0, kept = fit->run_efficiency.value, part[NR_ENERGY_PARTS];
    for (int k = 0; k < NR_ENERGY_PARTS; k++)
        share[k] = 0;
    for (size_t r = 0; r < fit->runs; r++)
        for (size_t i = 0; i < fit->run[r].blocks; i++)
            for (int k = 1; nr_energy_parts(fit, &fit->run[r], i, part) && k < NR_ENERGY_PARTS; k++)
                share[k] += part[k] * fit->run[r].block_s;
    for (int k = 1; k < NR_ENERGY_PARTS; k++)
        others += share[k] = fmax(0, share[k]);
    if (!fit->run_efficiency.known || !(others > 0) || !(fit->sun_J > 0))
        return false;
    share[0] = fmin(fmax(kept, 0), 1);
    for (int k = 1; k < NR_ENERGY_PARTS; k++)
        share[k] *= (1 - share[0]) / others;
    return true;
}

void nr_energy_words(const nr_fit *fit, nr_units units, double share, char *text, size_t size)
{
    char a[NR_ROUNDED];
    double whole = nr_display_value(NR_SHOWN_ENERGY, units, fit->sun_J);
    int place = nr_round_place(whole, 3);
    const char *unit = nr_display_of(NR_SHOWN_ENERGY, units)->pretty;
    if (share < 0.005)
        (void)snprintf(text, size, "under 1 %%");
    else
        (void)snprintf(text, size, "%.0f %%, %s %s", 100 * share,
                       nr_round_text(share * whole, place, a), unit);
}
