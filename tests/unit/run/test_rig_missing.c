/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a rig file lacks, and keys that it has and should not: where they belong, what was probably
 * meant, and which there are. */
#include "logger/run/rig_keys.h"
#include "tests/unit/run/rig_fixture.h"

static nr_rig rig;
static told heard;

static const char *first_problem(const char *text, nr_rig_need need)
{
    nr_sink sink = {tell, &heard};
    heard.count = 0;
    (void)nr_rig_parse(text, strlen(text), "rig.ini", need, &rig, &sink, NULL);
    return heard.count ? heard.line[0] : "";
}

/* The problem with these words, or none of them. */
static const char *with(const char *words)
{
    for (int i = 0; i < heard.count; i++)
        if (strstr(heard.line[i], words))
            return heard.line[i];
    return NULL;
}

static void section_with(char *out, size_t size, int kind, const char *key)
{
    snprintf(out, size, "[%s%s]\n%s = 1\n%s", nr_rig_section_name((nr_rig_section_kind)kind),
             kind == NR_SECTION_CHANNEL ? " x" : "", key,
             kind == NR_SECTION_CHANNEL ? "unit = V\n" : "");
}

/* "a, b, c" of all keys of a section. */
static void names_of(int kind, char *out, size_t size)
{
    size_t count, used = 0;
    const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)kind, &count);
    for (size_t i = 0; i < count; i++)
        used += (size_t)snprintf(out + used, size - used, "%s%s", i ? ", " : "", key[i].name);
}

static bool is_key(int kind, const char *name)
{
    bool uncertainty;
    return nr_rig_key_find((nr_rig_section_kind)kind, name, &uncertainty) != NULL;
}

static bool is_law_key(const char *name)
{
    for (const nr_law *law = nr_laws; law->name; law++)
        if (nr_law_key_index(law, name) >= 0)
            return true;
    return false;
}

/* Every key in every section that has it not: the first section that has it is named. */
START_TEST(in_another_section)
{
    for (int home = 0; home < NR_SECTION_KINDS; home++)
        for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
            size_t count;
            const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)home, &count);
            for (size_t i = 0; i < count; i++) {
                char text[200], place[80], wanted[120];
                int first = 0;
                if (is_key(kind, key[i].name) ||
                    (kind == NR_SECTION_CHANNEL && is_law_key(key[i].name)))
                    continue;
                while (!is_key(first, key[i].name))
                    first++;
                section_with(text, sizeof text, kind, key[i].name);
                (void)first_problem(text, NR_RIG_FOR_READINGS);
                snprintf(place, sizeof place, "has no key \"%s\"", key[i].name);
                snprintf(wanted, sizeof wanted, "; it belongs into [%s%s]. Keys here: ",
                         nr_rig_section_name((nr_rig_section_kind)first),
                         first == NR_SECTION_CHANNEL ? " NAME" : "");
                const char *is = with(place);
                ck_assert_msg(is && strstr(is, wanted), "%s: %s", text, is ? is : "nothing");
            }
        }
}
END_TEST

/* A letter too many: the key that was meant, with u_ where it may have one, and the list of all. */
START_TEST(nearly_a_key)
{
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        size_t count;
        const nr_rig_key *key = nr_rig_keys((nr_rig_section_kind)kind, &count);
        char list[1500];
        names_of(kind, list, sizeof list);
        for (size_t i = 0; i < count; i++)
            for (int u = 0; u < 2; u++) {
                char text[200], slip[80], place[100], wanted[200];
                bool may = key[i].kind == NR_KEY_QUANTITY;
                if (strlen(key[i].name) < 6 || (u && !may))
                    continue;
                snprintf(slip, sizeof slip, "%s%sq", u ? "u_" : "", key[i].name);
                section_with(text, sizeof text, kind, slip);
                (void)first_problem(text, NR_RIG_FOR_READINGS);
                snprintf(place, sizeof place, "has no key \"%s\"", slip);
                snprintf(wanted, sizeof wanted, "; did you mean %s%s? Keys here: ", u ? "u_" : "",
                         key[i].name);
                const char *is = with(place);
                ck_assert_msg(is && strstr(is, wanted), "%s: %s", text, is ? is : "nothing");
                /* as much of the list as a problem has room for, in its order */
                const char *listed = strstr(is, "Keys here: ") + strlen("Keys here: ");
                size_t common = strlen(listed) < 400 ? strlen(listed) : 400;
                ck_assert_msg(strncmp(listed, list, common) == 0, "%s, not %s", listed, list);
            }
    }
}
END_TEST

/* Nothing like it: only the list; that numbers may have an uncertainty is said where they may. */
START_TEST(nothing_like_it)
{
    for (int kind = 0; kind < NR_SECTION_KINDS; kind++) {
        char text[200], list[1500], wanted[1700];
        names_of(kind, list, sizeof list);
        list[500] = '\0'; /* more of a long list may be cut */
        section_with(text, sizeof text, kind, "qqqqqqqqqqqq");
        (void)first_problem(text, NR_RIG_FOR_READINGS);
        const char *is = with("has no key \"qqqqqqqqqqqq\"");
        snprintf(wanted, sizeof wanted, "; keys here: %s", list);
        ck_assert_msg(is && strstr(is, wanted), "%s: %s", text, is ? is : "nothing");
        bool numbers = kind <= NR_SECTION_STORE;
        ck_assert_msg((strstr(is, ", and u_ before a number's key") != NULL) == numbers, "%s", is);
    }
    /* a law's keys are among those of its channel */
    (void)first_problem("[channel x]\nunit = degC\nconvert = pt100\nqqqqqqqqqqqq = 1\n",
                        NR_RIG_FOR_READINGS);
    ck_assert_msg(with("has no key \"qqqqqqqqqqqq\""), "%s", heard.line[0]);
    (void)first_problem("[channel x]\nunit = degC\nconvert = pt100\nlead_ohms = 1\n",
                        NR_RIG_FOR_READINGS);
    ck_assert_msg(with("did you mean lead_ohm?"), "%s", heard.line[0]);
    (void)first_problem("[channel x]\nunit = degC\nlead_ohms = 1\n", NR_RIG_FOR_READINGS);
    ck_assert_msg(!with("did you mean lead_ohm?"), "%s", heard.line[0]);
}
END_TEST

/* What has to be there: an adapter to record, a channel to record or to have readings, an area to
 * analyze; every combination of them for every need. */
START_TEST(what_has_to_be_there)
{
    static const nr_rig_need needs[] = {NR_RIG_FOR_RECORD, NR_RIG_FOR_READINGS,
                                        NR_RIG_FOR_ANALYSIS};
    for (int n = 0; n < 3; n++)
        for (unsigned has = 0; has < 16; has++) {
            char text[300];
            snprintf(text, sizeof text, "[test]\ntitle = t\n%s%s%s%s",
                     has & 1 ? "[adapter]\nport = x\n" : "",
                     has & 2 ? "[channel store]\nunit = degC\n" : "",
                     has & 4 ? "[collector]\ntilt_deg = 3\n" : "",
                     has & 8 ? "gross_area_m2 = 1\n" : "");
            if ((has & 8) && !(has & 4))
                continue;
            (void)first_problem(text, needs[n]);
            bool adapter = n == 0 && !(has & 1), channel = n < 2 && !(has & 2);
            bool area = n == 2 && !(has & 8);
            ck_assert_msg((with("there is no [adapter]") != NULL) == adapter, "%s", text);
            ck_assert_msg((with("there is no channel to record") != NULL) == channel, "%s", text);
            ck_assert_msg((with("gross_area_m2 (or gross_area_ft2) is missing") != NULL) == area,
                          "%s", text);
            ck_assert_int_eq(heard.count, adapter + channel + area);
        }
}
END_TEST

/* The modifier of the incidence angle is stated once, and of each collector by itself. */
START_TEST(one_modifier)
{
    for (unsigned has = 0; has < 16; has++) {
        char text[400];
        snprintf(text, sizeof text,
                 "[collector a]\ngross_area_m2 = 1\n%s%s[collector b]\ngross_area_m2 = 1\n%s%s",
                 has & 1 ? "iam_b0 = 0.1\n" : "", has & 2 ? "iam = 0:1, 60:0.9\n" : "",
                 has & 4 ? "iam = 0:1, 60:0.9\n" : "", has & 8 ? "iam_b0 = 0.1\n" : "");
        (void)first_problem(text, NR_RIG_FOR_ANALYSIS);
        bool a = (has & 3) == 3, b = (has & 12) == 12;
        ck_assert_msg((with("[collector a] iam and iam_b0 are the same") != NULL) == a, "%s", text);
        ck_assert_msg((with("[collector b] iam and iam_b0 are the same") != NULL) == b, "%s", text);
        ck_assert_int_eq(heard.count, a + b);
    }
}
END_TEST

/* The first register of a bus is one like any other. */
START_TEST(register_of_no_number)
{
    for (int number = 0; number < 2; number++) {
        char text[300];
        snprintf(text, sizeof text,
                 "[adapter]\nkind = modbus\n[channel x]\nunit = degC\nmodbus_register = %d\n"
                 "[channel y]\nunit = degC\nmodbus_register = 0\n",
                 number);
        (void)first_problem(text, NR_RIG_FOR_RECORD);
        ck_assert_int_eq(heard.count, number == 0);
    }
    (void)first_problem("[adapter]\nkind = modbus\n[channel x]\nunit = degC\n[channel y]\n"
                        "unit = degC\n",
                        NR_RIG_FOR_READINGS);
    ck_assert_int_eq(heard.count, 0); /* two that have none are not the same one */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        in_another_section,    nearly_a_key, nothing_like_it, what_has_to_be_there, one_modifier,
        register_of_no_number, NULL};
    return run_tests("rig_missing", tests);
}
