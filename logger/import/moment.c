/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/moment.h"

#include "logger/base/text.h"
#include "logger/import/fold.h"
#include "logger/import/moment_pieces.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#define LONGEST 80

bool nr_date_exists(int year, int month, int day)
{
    static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return year >= 1970 && year < 2200 && month >= 1 && month <= 12 && day >= 1 &&
           day <= length[month - 1] + (leap && month == 2);
}

/* Days from civil: Hinnant, "chrono-Compatible Low-Level Date Algorithms" (from memory); checked
 * against timegm in the tests. */
double nr_days_s(int year, int month, int day)
{
    long y = month <= 2 ? year - 1 : year, era = y / 400;
    long of_era = y - era * 400, of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    long days = era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
    return (double)days * 86400;
}

double nr_moment_time_s(const nr_moment *m)
{
    long hour = m->hour;
    if (m->half != NR_HALF_NONE) {
        if (hour < 1 || hour > 12)
            return NAN;
        hour = hour % 12 + (m->half == NR_HALF_PM ? 12 : 0);
    }
    double s = (double)m->days * 86400 + (double)hour * 3600 + m->minute * 60 + m->second;
    return m->negative ? -s : s;
}

/* --- pieces -------------------------------------------------------------------------------- */

const char *nr_moment_figures(const char *p, int most, long *value, int *count)
{
    long v = 0;
    int n = 0;
    while (n < most && p[n] >= '0' && p[n] <= '9')
        v = v * 10 + (p[n++] - '0');
    *value = v;
    *count = n;
    return p + n;
}

/* English, German, French, Spanish, Italian, Dutch, Portuguese, Nordic: enough letters to tell
 * them apart, folded and small. */
static const char *const months[12] = {
    "jan ene gen janv enero gennaio jaen",
    "feb fev fevr febr",
    "mar mrz mae mrt maar mars maerz",
    "apr avr abr",
    "may mai mag mei maj",
    "jun juin giu jui",
    "jul juil lug",
    "aug aou ago aout",
    "sep set sept",
    "oct okt ott out",
    "nov",
    "dec dez dic des",
};

int nr_moment_month(const char **p)
{
    size_t n = 0;
    while (isalpha((unsigned char)(*p)[n]))
        n++;
    if (n < 3)
        return 0;
    for (size_t pass = 0; pass < 3; pass++) /* whole words, then "juil" before "jui" */
        for (int m = 0; m < 12; m++)
            for (const char *w = months[m]; *w; w += strspn(w, " ")) {
                size_t length = strcspn(w, " ");
                bool fits = pass == 0 ? length == n : length == 5 - pass && n > length;
                if (fits && strncmp(*p, w, length) == 0) {
                    *p += n;
                    *p += **p == '.';
                    return m + 1;
                }
                w += length;
            }
    return 0;
}

const char *nr_moment_half(const char *p, nr_half *half)
{
    const char *q = p + strspn(p, " ");
    if (*q != 'a' && *q != 'p')
        return p;
    nr_half which = *q == 'a' ? NR_HALF_AM : NR_HALF_PM;
    q++;
    q += *q == '.';
    q += strspn(q, " ");
    if (*q == 'm') {
        q++;
        q += *q == '.';
    }
    if (isalnum((unsigned char)*q))
        return p;
    *half = which;
    return q;
}

/* Names of fixed offsets. CST and the like mean other things elsewhere: the commonest. */
static const struct {
    const char *name;
    int minutes;
} zones[] = {
    {"z", 0},      {"utc", 0},    {"gmt", 0},    {"uct", 0},     {"wet", 0},     {"west", 60},
    {"bst", 60},   {"cet", 60},   {"cest", 120}, {"mez", 60},    {"mesz", 120},  {"eet", 120},
    {"eest", 180}, {"est", -300}, {"edt", -240}, {"cst", -360},  {"cdt", -300},  {"mst", -420},
    {"mdt", -360}, {"pst", -480}, {"pdt", -420}, {"akst", -540}, {"akdt", -480}, {"hst", -600},
};

/* "+02:00", "+0200", "+2", "-07". */
static const char *signed_offset(const char *p, nr_moment *m)
{
    if (*p != '+' && *p != '-')
        return NULL;
    long hours, minutes = 0;
    int n, k = 0;
    double sign = *p == '-' ? -1 : 1;
    const char *q = nr_moment_figures(p + 1, 2, &hours, &n);
    if (n == 0)
        return NULL;
    if (*q == ':')
        q++;
    if (n == 2 || q[-1] == ':')
        q = nr_moment_figures(q, 2, &minutes, &k);
    if ((k != 0 && k != 2) || hours > 14 || minutes > 59 || isdigit((unsigned char)*q))
        return NULL;
    m->has_offset = true;
    m->offset_s = sign * (double)(hours * 3600 + minutes * 60);
    return q;
}

const char *nr_moment_zone(const char *p, nr_moment *m)
{
    const char *q = p + strspn(p, " (");
    const char *end = signed_offset(q, m);
    if (end)
        return end;
    size_t n = 0;
    while (isalpha((unsigned char)q[n]))
        n++;
    for (size_t i = 0; n > 0 && i < sizeof zones / sizeof *zones; i++)
        if (strlen(zones[i].name) == n && strncmp(q, zones[i].name, n) == 0) {
            m->has_offset = true;
            m->offset_s = zones[i].minutes * 60.0;
            q += n;
            end = zones[i].minutes == 0 ? signed_offset(q, m) : NULL;
            q = end ? end : q;
            return q + (*q == ')');
        }
    return p;
}

/* "mon, ", "freitag ": skipped. */
const char *nr_moment_weekday(const char *p)
{
    static const char days[] =
        "mon tue wed thu fri sat sun die mit don fre sam son lun mer jeu ven "
        "dim mie jue vie sab dom gio mo di mi do fr sa so ma wo vr za zo";
    size_t n = 0;
    while (isalpha((unsigned char)p[n]))
        n++;
    for (const char *w = days; n >= 2 && *w; w += strspn(w, " ")) {
        size_t length = strcspn(w, " ");
        if ((length == n || (length == 3 && n > 4)) && strncmp(p, w, length) == 0)
            return p + n + strspn(p + n, "., ");
        w += length;
    }
    return p;
}

/* --- dates --------------------------------------------------------------------------------- */

static int full_year(long y, int figures)
{
    return (int)(figures > 2 ? y : y < 70 ? 2000 + y : 1900 + y);
}

static void sure_date(nr_moment *m, int year, long month, long day)
{
    m->has_date = m->sure = true;
    m->year = year;
    m->month = (int)month;
    m->day = (int)day;
}

/* 20260516, 202605161015, 20260516T101500. */
static const char *compact_date(const char *p, nr_moment *m)
{
    long y, mo, d, h, mi, s;
    int n = 0, k;
    while (isdigit((unsigned char)p[n]))
        n++;
    if ((n != 8 && n != 12 && n != 14) || (p[0] != '1' && p[0] != '2'))
        return NULL;
    nr_moment_figures(p, 4, &y, &k);
    nr_moment_figures(p + 4, 2, &mo, &k);
    nr_moment_figures(p + 6, 2, &d, &k);
    if (!nr_date_exists((int)y, (int)mo, (int)d))
        return NULL;
    sure_date(m, (int)y, mo, d);
    if (n == 8)
        return p + n;
    nr_moment_figures(p + 8, 2, &h, &k);
    nr_moment_figures(p + 10, 2, &mi, &k);
    nr_moment_figures(p + 12, n == 14 ? 2 : 0, &s, &k);
    m->has_time = true;
    m->hour = h;
    m->minute = (int)mi;
    m->second = (double)s;
    m->groups = n == 14 ? 3 : 2;
    return h <= 24 && mi < 60 && s < 61 ? p + n : NULL;
}

/* 2026-05-16, 16.05.2026, 5/16/26: three numbers. */
static const char *three_numbers(const char *p, nr_moment *m)
{
    long v[3];
    int n[3];
    const char *q = nr_moment_figures(p, 4, &v[0], &n[0]);
    char between = *q;
    if (n[0] == 0 || n[0] == 3 || !between || !strchr("/-.", between))
        return NULL;
    q = nr_moment_figures(q + 1 + strspn(q + 1, " "), 2, &v[1], &n[1]);
    if (n[1] == 0 || *q != between)
        return NULL;
    q = nr_moment_figures(q + 1 + strspn(q + 1, " "), 4, &v[2], &n[2]);
    if (n[2] == 0 || n[2] == 3 || isdigit((unsigned char)*q))
        return NULL;
    if (n[0] == 4) {
        sure_date(m, (int)v[0], v[1], v[2]);
        return n[2] <= 2 && nr_date_exists(m->year, m->month, m->day) ? q : NULL;
    }
    m->has_date = true;
    m->between = between;
    m->four_last = n[2] == 4;
    for (int i = 0; i < 3; i++)
        m->part[i] = (int)v[i];
    return q + (between == '.' && *q == '.');
}

/* 16 May 2026, 16-May-26, 2026-May-16, "16. mai 2026", "16 de mayo de 2026", May 16, 2026. */
static const char *named_month(const char *p, nr_moment *m)
{
    long first = 0, last = 0;
    int n = 0, k = 0, month = 0;
    const char *q = p;
    bool month_first = isalpha((unsigned char)*q) != 0;
    if (!month_first) {
        q = nr_moment_figures(q, 4, &first, &n);
        q += strspn(q, " -/.");
        if (n == 0)
            return NULL;
        if (strncmp(q, "de ", 3) == 0)
            q += 3;
    }
    month = nr_moment_month(&q);
    q += strspn(q, " -/.,");
    if (month == 0)
        return NULL;
    if (month_first) {
        q = nr_moment_figures(q, 2, &first, &n);
        if (isdigit((unsigned char)*q)) /* "May 2026" is no 20 May */
            return NULL;
        q += strspn(q, " -/.,");
    }
    if (strncmp(q, "de ", 3) == 0)
        q += 3;
    q = nr_moment_figures(q, 4, &last, &k);
    if (n == 0 || k == 0 || k == 3 || n == 3 || isdigit((unsigned char)*q))
        return NULL;
    if (n == 4)
        sure_date(m, (int)first, month, last);
    else
        sure_date(m, full_year(last, k), month, first);
    return nr_date_exists(m->year, m->month, m->day) ? q : NULL;
}

/* --- times --------------------------------------------------------------------------------- */

/* 10:15, 10:15:01, 10:15:01.250; behind a date also 10.15, 101501. 10h15. */
static const char *clock_time(const char *p, nr_moment *m, bool after_date)
{
    long hour, minute, second = 0;
    int n, k, j = 2;
    const char *q = nr_moment_figures(p, 5, &hour, &n);
    if (n == 0)
        return NULL;
    char sign = *q;
    if (after_date && (n == 4 || n == 5) && sign != ':')
        return NULL;
    if (!(sign == ':' || sign == 'h' || (after_date && sign == '.')))
        return NULL;
    q = nr_moment_figures(q + 1, 2, &minute, &k);
    if (k != 2 || minute > 59)
        return NULL;
    m->groups = 2;
    if ((*q == ':' || (sign == '.' && *q == '.') || (sign == 'h' && (*q == 'm' || *q == ':'))) &&
        isdigit((unsigned char)q[1])) {
        q = nr_moment_figures(q + 1, 2, &second, &j);
        m->groups = 3;
        q += sign == 'h' && *q == 's';
    }
    if (j != 2 || second > 60)
        return NULL;
    m->second = (double)second;
    bool thousandths = *q == ':' && strspn(q + 1, "0123456789") == 3; /* 10:15:01:250 */
    if (m->groups == 3 && (*q == '.' || *q == ',' || thousandths) && isdigit((unsigned char)q[1])) {
        double step = 0.1;
        for (q++; isdigit((unsigned char)*q); q++, step /= 10, m->fraction++)
            m->second += step * (*q - '0');
    }
    m->hour = hour;
    m->minute = (int)minute;
    m->sign = sign;
    m->has_time = true;
    return q;
}

/* T101501 of ISO 8601's basic form. */
static const char *compact_time(const char *p, nr_moment *m)
{
    long h, mi, s = 0;
    int n = 0, k;
    while (isdigit((unsigned char)p[n]))
        n++;
    if (n != 4 && n != 6)
        return NULL;
    nr_moment_figures(p, 2, &h, &k);
    nr_moment_figures(p + 2, 2, &mi, &k);
    if (n == 6)
        nr_moment_figures(p + 4, 2, &s, &k);
    if (h > 24 || mi > 59 || s > 60)
        return NULL;
    m->has_time = true;
    m->hour = h;
    m->minute = (int)mi;
    m->second = (double)s;
    m->groups = n == 6 ? 3 : 2;
    return p + n;
}

/* "1 day 02:03:04", "2d 1:00", "1.02:03:04", "-0:00:10". */
static const char *duration_head(const char *p, nr_moment *m)
{
    long days;
    int n;
    if (*p == '-') {
        m->negative = true;
        p++;
    }
    const char *q = nr_moment_figures(p, 4, &days, &n);
    if (n == 0)
        return p;
    if (*q == '.' && isdigit((unsigned char)q[1]) && strchr(q, ':')) {
        q++;
    } else {
        const char *word = q + strspn(q, " ");
        size_t letters = strncmp(word, "days", 4) == 0  ? 4
                         : strncmp(word, "day", 3) == 0 ? 3
                         : *word == 'd'                 ? 1
                                                        : 0;
        if (letters == 0 || isalpha((unsigned char)word[letters]))
            return p;
        q = word + letters;
        q += strspn(q, " ,");
    }
    m->days = days;
    m->has_days = true;
    return q;
}

static const char *read_date(const char *p, nr_moment *m)
{
    static const char *(*const ways[])(const char *, nr_moment *) = {compact_date, three_numbers,
                                                                     named_month};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        nr_moment trial = *m;
        const char *q = ways[i](p, &trial);
        if (q) {
            *m = trial;
            return q;
        }
    }
    return NULL;
}

static const char *between_both(const char *p)
{
    if (*p == 't' || *p == '_' || (*p == ':' && isdigit((unsigned char)p[1])))
        return p + 1;
    p += strspn(p, " ,;");
    if (*p == '-' || *p == '@' || *p == '|')
        p++;
    static const char *const words[] = {"at ", "um ", "klo ", "kl. ", "kl ", "a las ", "om "};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strncmp(p, words[i], strlen(words[i])) == 0) {
            p += strlen(words[i]);
            break;
        }
    return p + strspn(p, " ");
}

static const char *read_time(const char *p, nr_moment *m)
{
    const char *q = clock_time(p, m, m->has_date);
    if (!q && m->has_date)
        q = compact_time(p, m);
    if (!q)
        return NULL;
    q = nr_moment_half(q, &m->half);
    if (strncmp(q, " uhr", 4) == 0)
        q += 4;
    return q;
}

bool nr_moment_read(const char *cell, nr_moment *out)
{
    char room[LONGEST];
    *out = (nr_moment){0};
    if (strlen(cell) >= LONGEST - 8)
        return false;
    nr_fold(cell, room, sizeof room);
    nr_small(room);
    const char *p = nr_moment_weekday(nr_trim(room)), *q = read_date(p, out);
    if (q && !out->has_time) {
        const char *time = between_both(q);
        p = q;
        if (*time && (q = read_time(time, out)) != NULL)
            p = q;
    } else if (q) {
        p = q;
    } else {
        q = read_time(duration_head(p, out), out);
        if (!q)
            return false;
        p = q;
    }
    if (out->has_time)
        p = nr_moment_zone(p, out);
    p += strspn(p, " .");
    if (*p == '[') /* a zone's name behind its offset */
        p += strcspn(p, "]") + (strchr(p, ']') != NULL);
    if (*p || (!out->has_date && !out->has_time) || (out->has_date && out->hour > 24))
        return false;
    return !out->has_time || isfinite(nr_moment_time_s(out));
}

bool nr_moment_dotted(const char *cell)
{
    nr_moment m = {0};
    const char *end = clock_time(cell, &m, true);
    return end && *end == '\0' && strchr(cell, '.') && !strchr(cell, ':') && m.hour <= 24 &&
           m.fraction == 0;
}
