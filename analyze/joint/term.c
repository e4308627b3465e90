/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/inside.h"

static const nr_term_row *look(const nr_term_row *rows, size_t count, nr_term term)
{
    /* As a rule they stand in their order. */
    size_t guess = (size_t)term - (size_t)rows[0].term;
    if (guess < count && rows[guess].term == term)
        return &rows[guess];
    for (size_t i = 0; i < count; i++)
        if (rows[i].term == term)
            return &rows[i];
    return NULL;
}

const nr_term_row *nr_term_find(nr_term term)
{
    const nr_term_row *row = look(nr_collector_terms, nr_collector_terms_count, term);
    if (!row)
        row = look(nr_store_terms, nr_store_terms_count, term);
    if (!row)
        row = look(nr_sensor_terms, nr_sensor_terms_count, term);
    return row ? row : look(nr_model_terms, nr_model_terms_count, term);
}

nr_transform nr_term_transform(nr_term term)
{
    return nr_term_find(term)->transform;
}

const char *nr_term_natural_unit(nr_term term)
{
    return nr_term_find(term)->natural;
}

bool nr_term_lasts(nr_term term)
{
    return nr_term_find(term)->lasts;
}

bool nr_term_surprises(nr_term term)
{
    return nr_term_find(term)->surprises;
}

bool nr_term_is_input(nr_term term)
{
    return nr_term_find(term)->input;
}

bool nr_term_is_model(nr_term term)
{
    return nr_term_find(term)->model;
}
