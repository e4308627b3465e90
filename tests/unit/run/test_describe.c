/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `keys` prints: each key of each section and each law's own once, in order, with its unit,
 * range and default; lines put together here from the tables alone. */
#include "logger/run/rig_keys.h"
#include "tests/unit/near.h"

#include <stdarg.h>

static char expected[200000];
static size_t used;

static void put(const char *format, ...)
{
    va_list more;
    va_start(more, format);
    used += (size_t)vsnprintf(expected + used, sizeof expected - used, format, more);
    va_end(more);
    ck_assert_uint_lt(used, sizeof expected);
}

static const char *unit_of(const nr_rig_key *key)
{
    bool word =
        key->kind == NR_KEY_CHOICE || key->kind == NR_KEY_LAW || key->kind == NR_KEY_INSTRUMENT;
    return key->unit ? key->unit[0] ? key->unit : "number" : word ? "word" : "text";
}

/* "a|b|c"; "0.1 to 20", "above 0 up to 20", in the key's own unit (kinds of unit: test_rig_keys).
 */
static void put_range(const nr_rig_key *key)
{
    if (key->choice)
        for (const nr_rig_choice *c = key->choice; c->word; c++)
            put("%s%s", c == key->choice ? " (" : "|", c->word);
    else if (key->high > key->low && key->high < 1e9)
        put(key->above ? " (above %.6g up to %.6g" : " (%.6g to %.6g",
            nr_rig_key_written(key, key->low), nr_rig_key_written(key, key->high));
    else
        return;
    put(")");
}

static bool of_every_channel(const char *name)
{
    size_t count;
    const nr_rig_key *key = nr_rig_keys(NR_SECTION_CHANNEL, &count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(key[i].name, name) == 0)
            return true;
        if (key[i].kind == NR_KEY_QUANTITY && strncmp(name, "u_", 2) == 0 &&
            strcmp(key[i].name, name + 2) == 0)
            return true;
    }
    return false;
}

static const char *default_of(const nr_law_key *key)
{
    static char number[40];
    snprintf(number, sizeof number, "%g", key->fallback);
    return isnan(key->fallback) ? "required" : isinf(key->fallback) ? "not given" : number;
}

static char text[200000];

static void write_text(void (*write)(FILE *))
{
    memset(text, 0, sizeof text);
    FILE *to = fmemopen(text, sizeof text, "w");
    write(to);
    fclose(to);
    ck_assert_uint_lt(strlen(text), sizeof text - 1);
}

static void same_lines(char *from)
{
    char *a = from, *b = expected;
    for (int line = 1; a && b; line++) {
        const char *is = strsep(&a, "\n"), *wanted = strsep(&b, "\n");
        ck_assert_msg(strcmp(is, wanted) == 0, "line %d:\n%s\n%s", line, is, wanted);
    }
    ck_assert(!a && !b);
}

static void put_table(void)
{
    size_t count;
    used = 0;
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)kind, &count);
        ck_assert_uint_gt(count, 0);
        for (size_t i = 0; i < count; i++) {
            put("%s\t%s\t%s\t%s\t%s", nr_rig_section_name((nr_rig_section_kind)kind), key[i].name,
                unit_of(&key[i]), key[i].fallback ? key[i].fallback : "", key[i].meaning);
            put_range(&key[i]);
            put("\n");
        }
    }
    for (const nr_law *law = nr_laws; law->name; law++)
        for (int i = 0; i < NR_LAW_MAX_KEYS; i++) {
            if (!law->keys[i].name)
                break;
            if (!of_every_channel(law->keys[i].name))
                put("convert = %s\t%s\tnumber\t%s\t%s\n", law->name, law->keys[i].name,
                    default_of(&law->keys[i]), law->keys[i].meaning);
        }
}

START_TEST(as_a_table)
{
    put_table();
    write_text(nr_rig_describe_table);
    same_lines(text);
}
END_TEST

static void put_prose(void)
{
    size_t count;
    used = 0;
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        nr_rig_section_kind section = (nr_rig_section_kind)kind;
        const nr_rig_key *key = nr_rig_keys(section, &count);
        put("\n[%s%s]  %s\n", nr_rig_section_name(section),
            section == NR_SECTION_CHANNEL ? " NAME" : "", nr_rig_section_meaning(section));
        for (size_t i = 0; i < count; i++) {
            put("%c %-26s %-10s  %s", key[i].kind == NR_KEY_QUANTITY ? '*' : ' ', key[i].name,
                unit_of(&key[i]), key[i].meaning);
            put_range(&key[i]);
            put(key[i].fallback ? "; default: %s\n" : "\n", key[i].fallback);
        }
    }
    put("\nConversions of a channel, and their keys:\n");
    for (const nr_law *law = nr_laws; law->name; law++) {
        put("  convert = %-16s %s", law->name, law->summary);
        put(law->unit ? " -> %s\n" : "\n", law->unit);
        for (int i = 0; i < NR_LAW_MAX_KEYS; i++) {
            const nr_law_key *key = &law->keys[i];
            if (!key->name)
                break;
            if (!of_every_channel(key->name))
                put("    %-24s %s (%g to %g); default: %s\n", key->name, key->meaning, key->low,
                    key->high, default_of(key));
        }
    }
}

START_TEST(as_prose)
{
    write_text(nr_rig_describe);
    char *sections = strstr(text, "\n[");
    ck_assert_ptr_nonnull(sections);
    put_prose();
    same_lines(sections);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_a_table, as_prose, NULL};
    return run_tests("describe", tests);
}
