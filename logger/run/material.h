/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Boards that a home-made box is backed with: how much heat they hold and let through. */
#ifndef NR_RUN_MATERIAL_H
#define NR_RUN_MATERIAL_H

#include <stddef.h>

typedef struct nr_material {
    const char *name; /* word of the key `back` */
    double density_kg_m3, specific_heat_J_kgK, conductivity_W_mK;
    const char *source;
} nr_material;

/* The table row by row; NULL behind the last. */
const nr_material *nr_material_at(size_t index);

/* NULL when the word is not known. */
const nr_material *nr_material_find(const char *name);

/* All words, comma separated. */
void nr_material_names(char *out, size_t size);

#endif
