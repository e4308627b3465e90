/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/material.h"
#include "logger/base/text.h"

#include <stdio.h>
#include <string.h>

/* Design values of ISO 10456:2007, table 3, from memory. Foams have no density there: common ones.
 */
#define ISO "ISO 10456:2007, from memory"
#define FOAM "conductivity and density usual, no source; specific heat ISO 10456:2007, from memory"

static const nr_material materials[] = {
    {"plywood", 500, 1600, 0.13, ISO},
    {"osb", 650, 1700, 0.13, ISO},
    {"chipboard", 600, 1700, 0.14, ISO},
    {"mdf", 600, 1700, 0.14, ISO},
    {"hardboard", 800, 1700, 0.18, ISO},
    {"softwood", 500, 1600, 0.13, ISO},
    {"hardwood", 700, 1600, 0.18, ISO},
    {"plasterboard", 700, 1000, 0.21, ISO},
    {"steel", 7800, 450, 50, ISO},
    {"aluminium", 2800, 880, 160, ISO},
    {"aluminum", 2800, 880, 160, ISO},
    {"glass", 2500, 750, 1.0, ISO},
    {"pvc", 1390, 900, 0.17, ISO},
    {"acrylic", 1180, 1500, 0.18, ISO},
    {"polycarbonate", 1200, 1200, 0.2, ISO},
    {"polystyrene", 20, 1450, 0.036, FOAM},
    {"polyurethane", 32, 1400, 0.026, FOAM},
    {"wool", 40, 1030, 0.038, FOAM},
    {"cork", 120, 1560, 0.045, FOAM},
    {"cardboard", 150, 1400, 0.06, "corrugated board; common practice, no source"},
};
#define MATERIALS (sizeof materials / sizeof materials[0])

const nr_material *nr_material_at(size_t index)
{
    return index < MATERIALS ? &materials[index] : NULL;
}

const nr_material *nr_material_find(const char *name)
{
    const nr_material *material;
    for (size_t i = 0; (material = nr_material_at(i)) != NULL; i++)
        if (strcmp(material->name, name) == 0)
            return material;
    return NULL;
}

void nr_material_names(char *out, size_t size)
{
    size_t used = 0;
    nr_copy(out, size, "");
    for (size_t i = 0; i < MATERIALS && used < size; i++) {
        int more = snprintf(out + used, size - used, "%s%s", i > 0 ? ", " : "", materials[i].name);
        used += more > 0 ? (size_t)more : 0;
    }
}
