/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/unit_words.h"

#include "logger/base/text.h"
#include "logger/import/fold.h"

#include <ctype.h>
#include <string.h>

/* Written small, without blanks, '_' as '/'. */
static const struct {
    const char *words; /* parted by blanks */
    const char *unit;  /* of base/units.h */
} units[] = {
    {"degc c celsius degcelsius deg.c deg/c degreec degreesc degreecelsius degreescelsius gradc "
     "gradcelsius centigrade cels degcent /c",
     "degC"},
    {"degf f fahrenheit degfahrenheit deg.f deg/f degreef degreesf degreefahrenheit "
     "degreesfahrenheit gradf /f",
     "degF"},
    {"k kelvin degk", "K"},
    {"w/m2 w/m^2 w/m**2 wm-2 wm^-2 w.m-2 w.m^-2 w/sqm w/qm watt/m2 watts/m2 watt/m^2 watts/m^2 "
     "w/(m2) wpersqm w/sq.m w/sq.m. wattm-2 w/squaremeter watt/qm wm2 w/m/2",
     "W_m2"},
    {"kw/m2 kw/m^2 kw/m**2 kwm-2 kwm^-2 kw.m-2 kw/sqm kw/qm kwm2", "kW_m2"},
    {"btu/h/ft2 btu/hr/ft2 btu/(hft2) btu/(h.ft2) btu/(hrft2) btu/hft2 btuh/ft2 btu/hrft2 "
     "btu/h/sqft btu/hr/sqft btu/(h.ft^2) btu/(hr.ft2) btu/h/ft^2 btu/hr/ft^2",
     "Btu_h_ft2"},
    {"l/min lpm lmin-1 l.min-1 liter/min liters/min litre/min litres/min ltr/min l/m l/minute",
     "L_min"},
    {"l/h lph l/hr lh-1 l.h-1 liter/h liters/h litre/h litres/h l/std liter/std l/hour", "L_h"},
    {"l/s lps l/sec ls-1 liter/s", "L_s"},
    {"ml/min mlpm ccm/min cc/min", "mL_min"},
    {"m3/h m3/hr m3h-1 m^3/h cbm/h m3.h-1", "m3_h"},
    {"gpm gal/min usgpm gallons/min gallon/min gal/m", "gal_min"},
    {"gph gal/h gal/hr gallons/h usgph", "gal_h"},
    {"m/s ms-1 m.s-1 mps m/sec meter/s m*s-1", "m_s"},
    {"km/h kmh kph km/hr kmph kmh-1 km.h-1", "km_h"},
    {"mph mi/h miles/h mi/hr milesperhour miles/hr", "mph"},
    {"ft/s fps", "ft_s"},
    {"kn kt kts knots knot kns", "kn"},
    {"v volt volts vdc", "V"},
    {"mv millivolt millivolts", "mV"},
    {"a amp amps ampere amperes", "A"},
    {"ma milliamp milliamps", "mA"},
    {"w watt watts", "W"},
    {"mw", "mW"},
    {"kw", "kW"},
    {"btu/h btuh btu/hr", "Btu_h"},
    {"% percent pct %rh rh% %r.h. %rel prozent % rh%", "percent"},
};

static const struct {
    const char *words;
    nr_measure measure;
    double time_s;
} others[] = {
    {"ohm ohms kohm kohms raw count counts adc bits digits", NR_MEASURE_RAW, 0},
    {"s sec secs second seconds sek sekunden secondes segundos secondi", NR_MEASURE_TIME, 1},
    {"min mins minute minutes minuten minuti minutos mn", NR_MEASURE_TIME, 60},
    {"h hr hrs hour hours std stunden heures horas ore", NR_MEASURE_TIME, 3600},
    {"ms msec millis milliseconds millisecond", NR_MEASURE_TIME, 0.001},
    {"d day days tage jours", NR_MEASURE_TIME, 86400},
    {"hh:mm h:mm hh:mm:ss h:mm:ss hhmm hhmmss hh:mm:ss.s h:m:s", NR_MEASURE_CLOCK, 0},
    {"mm:ss m:ss mm:ss.s", NR_MEASURE_CLOCK, 60},
    {"hpa mbar mb inhg kpa pa psi bar mmhg in inch inches mm mm/h in/h in/hr mm/hr lux lx klux "
     "kwh wh kj mj mj/m2 j/m2 kwh/m2 wh/m2 deg degree degrees grad ppm uw/cm2 index hz dbm db g "
     "g/m3 w/k j/k kg lb l gal m ft cm m2 ft2 ah mah ly/min ly langley bft beaufort",
     NR_MEASURE_OTHER, 0},
};

static bool in_list(const char *word, const char *list)
{
    size_t length = strlen(word);
    for (const char *p = list; *p; p += strspn(p, " ")) {
        size_t n = strcspn(p, " ");
        if (n == length && memcmp(p, word, n) == 0)
            return true;
        p += n;
    }
    return false;
}

/* Small, without blanks, '_' as '/', "per" as '/'. */
static void squeeze(const char *folded, char out[NR_FOLDED])
{
    size_t n = 0;
    for (const char *p = folded; *p && n + 1 < NR_FOLDED; p++) {
        if (isspace((unsigned char)*p))
            continue;
        if ((strncmp(p, "per ", 4) == 0 || strncmp(p, "per_", 4) == 0) && n > 0) {
            out[n++] = '/';
            p += 3;
            continue;
        }
        out[n++] = *p == '_' ? '/' : (char)tolower((unsigned char)*p);
    }
    out[n] = '\0';
    if (n > 1 && out[n - 1] == '.') /* an abbreviation: "min." */
        out[n - 1] = '\0';
}

nr_stated_unit nr_unit_of_words(const char *folded)
{
    nr_stated_unit none = {.word = ""};
    char word[NR_FOLDED];
    squeeze(folded, word);
    if (!word[0])
        return none;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (in_list(word, units[i].words)) {
            const nr_unit *unit = nr_unit_find(units[i].unit);
            return (nr_stated_unit){.measure = unit ? NR_MEASURE_UNIT : NR_MEASURE_OTHER,
                                    .unit = unit,
                                    .word = units[i].unit};
        }
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (in_list(word, others[i].words))
            return (nr_stated_unit){.measure = others[i].measure,
                                    .time_s = others[i].time_s,
                                    .minutes_first = others[i].time_s > 0,
                                    .word = "another unit"};
    return none;
}

/* A unit, but none that is known: "J/cm2", "0.1 degC", "degC x10". Its numbers are not the
 * channel's. */
static bool unknown_unit(const char *piece)
{
    static const char below[] =
        "m2 cm2 ft2 m^2 cm^2 ft^2 sqm sqft qm m h hr s sec min d day l k m3";
    char word[NR_FOLDED];
    squeeze(piece, word);
    const char *slash = strrchr(word, '/');
    if (slash && slash > word && isalpha((unsigned char)slash[-1]) && in_list(slash + 1, below))
        return true;
    bool figures = word[strcspn(word, "0123456789")] != '\0';
    bool scaled = isdigit((unsigned char)word[0]) || strpbrk(word, "/*x");
    return figures &&
           ((scaled && strstr(word, "deg")) || strstr(word, "x10") || strstr(word, "*10"));
}

static bool has_unknown_unit(const char *folded)
{
    char piece[NR_FOLDED];
    for (const char *open = folded; (open = strpbrk(open, "([{")) != NULL; open++) {
        nr_copy(piece, sizeof piece, open + 1);
        piece[strcspn(piece, ")]}")] = '\0';
        if (unknown_unit(piece))
            return true;
    }
    const char *last = strrchr(folded, ' ');
    return last && unknown_unit(last + 1);
}

/* --- heads --------------------------------------------------------------------------------- */

static char closing(char open)
{
    return open == '(' ? ')' : open == '[' ? ']' : '}';
}

/* The last pair of brackets with a unit in it is taken out of name. "W/(m2)" is left alone. */
static nr_stated_unit from_brackets(char *name)
{
    nr_stated_unit found = {.word = ""};
    for (char *open = name; (open = strpbrk(open, "([{")) != NULL; open++) {
        char inside[NR_FOLDED];
        char *close = strrchr(open, closing(*open)), *first = strchr(open, closing(*open));
        if (!first)
            continue;
        for (int i = 0; i < 2; i++, close = first) {
            size_t n = (size_t)(close - open) - 1;
            memcpy(inside, open + 1, n);
            inside[n] = '\0';
            nr_stated_unit u = nr_unit_of_words(inside);
            if (u.measure == NR_MEASURE_NONE)
                continue;
            found = u;
            *open = ' ';
            memmove(open + 1, close + 1, strlen(close + 1) + 1);
            break;
        }
    }
    return found;
}

/* Where one letter alone stands for a unit, the words before it must speak of that. */
static bool letter_is_meant(const char *unit, const char *before, bool glued)
{
    nr_terms terms;
    nr_terms_of(before, &terms);
    if (terms.count == 0)
        return true;
    static const char numbered[] = "probe sensor channel zone port input kanal fuhler sonde";
    switch (tolower((unsigned char)unit[0])) {
    case 'c':
    case 'f':
        return glued || !nr_terms_any(&terms, numbered);
    case 'v':
        return nr_terms_any(&terms, "voltage volt spannung tension pump batt battery voltaje") !=
               NULL;
    case 'a':
        return nr_terms_any(&terms, "current amp strom courant corriente pump") != NULL;
    case 'w':
        return nr_terms_any(&terms, "power leistung puissance potencia pump watt") != NULL;
    case 's':
    case 'h':
    case 'd':
        return nr_terms_any(&terms, "time elapsed zeit temps tiempo tempo duration uptime t") !=
               NULL;
    default:
        return unit[0] == '%';
    }
}

/* Words that are units too, but more often something else at the end of a head. */
static bool word_is_meant(const char *unit, const char *before)
{
    nr_terms terms;
    nr_terms_of(before, &terms);
    if (terms.count == 0)
        return true;
    if (strcmp(unit, "min") == 0 || strcmp(unit, "std") == 0 || strcmp(unit, "hr") == 0)
        return nr_terms_any(
                   &terms, "time elapsed zeit temps tiempo tempo duration minutes since t") != NULL;
    return !in_list(
        unit, "in index grad deg second minute hour day minutes hours seconds days g l m bar raw "
              "count digits watt");
}

/* Behind the last '_', blank, ',' or '/': the longest piece that is a unit. */
static nr_stated_unit from_end(char *name)
{
    for (char *p = name; *p; p++) {
        if (!strchr("_ ,/.:-", *p))
            continue;
        char *unit = p + 1;
        unit += strspn(unit, " ,/:");
        bool in = strncmp(unit, "in ", 3) == 0;
        if (in)
            unit += 3;
        nr_stated_unit u = nr_unit_of_words(unit);
        if (u.measure == NR_MEASURE_NONE)
            continue;
        char keep = *p, small[NR_FOLDED];
        *p = '\0';
        nr_copy(small, sizeof small, unit);
        nr_small(small);
        nr_terms before;
        nr_terms_of(name, &before);
        if (strcmp(small, "ms") == 0 && nr_terms_any(&before, "wind speed vent viento velocity"))
            return nr_unit_of_words("m/s"); /* wind_speed_ms is no time */
        if (small[1] ? word_is_meant(small, name) : letter_is_meant(unit, name, keep != ' ')) {
            /* "Air temp in C", but "Collector in C" is its inlet. */
            if (in && nr_terms_any(&before, "collector kollektor panel capteur colector collettore "
                                            "collecteur loop hose pipe tube"))
                strcat(name, " in");
            return u;
        }
        *p = keep;
    }
    return (nr_stated_unit){.word = ""};
}

/* "waterC", "tankTempF": a capital glued to a small letter. */
static nr_stated_unit from_capital(char *name)
{
    size_t n = strlen(name);
    if (n < 3 || !islower((unsigned char)name[n - 2]) || (name[n - 1] != 'C' && name[n - 1] != 'F'))
        return (nr_stated_unit){.word = ""};
    nr_stated_unit u = nr_unit_of_words(name + n - 1);
    name[n - 1] = '\0';
    return u;
}

/* "degC" and "degF" anywhere between other words. */
static nr_stated_unit from_degrees(char *name)
{
    static const char *const both[] = {"degC", "degF"};
    for (size_t i = 0; i < 2; i++) {
        char *at = strstr(name, both[i]);
        if (!at || isalnum((unsigned char)at[4]))
            continue;
        nr_stated_unit u = nr_unit_of_words(both[i]);
        memset(at, ' ', 4);
        return u;
    }
    return (nr_stated_unit){.word = ""};
}

nr_stated_unit nr_unit_of_head(const char *head, char *name, size_t size)
{
    char folded[NR_FOLDED];
    nr_fold(head, folded, sizeof folded);
    nr_trim(folded);
    nr_stated_unit u = nr_unit_of_words(folded);
    if (u.measure == NR_MEASURE_OTHER) /* "In" alone is no inch */
        u = (nr_stated_unit){.word = ""};
    if (u.measure != NR_MEASURE_NONE)
        folded[0] = '\0';
    if (u.measure == NR_MEASURE_NONE)
        u = from_brackets(folded);
    if (u.measure == NR_MEASURE_NONE)
        u = from_end(folded);
    bool unknown = u.measure == NR_MEASURE_NONE && has_unknown_unit(folded);
    if (u.measure == NR_MEASURE_NONE && !unknown)
        u = from_degrees(folded);
    if (u.measure == NR_MEASURE_NONE && !unknown)
        u = from_capital(folded);
    if (unknown)
        u = (nr_stated_unit){.measure = NR_MEASURE_OTHER, .word = "a unit that is not known here"};
    nr_copy(name, size, nr_trim(folded));
    return u;
}
