/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The file that a client shows itself by: each key, what has room, what belongs together, and who
 * may read it. */
#include "logger/publish/login.h"
#include "tests/unit/near.h"

#include <sys/stat.h>
#include <unistd.h>

static nr_login login;
static nr_err err;

static nr_code parsed(const char *text)
{
    memset(&err, 0, sizeof err);
    return nr_login_parse(text, strlen(text), "login", &login, &err);
}

START_TEST(each_key)
{
    ck_assert_int_eq(parsed("user=u\npassword=p\nca=/ca\ncertificate=/cert\nkey=/key\ntls=no\n"),
                     NR_OK);
    ck_assert_str_eq(login.user, "u");
    ck_assert_str_eq(login.password, "p");
    ck_assert_str_eq(login.ca, "/ca");
    ck_assert_str_eq(login.certificate, "/cert");
    ck_assert_str_eq(login.key, "/key");
    ck_assert(login.tls); /* who gives certificates means them */
}
END_TEST

START_TEST(encrypted)
{
    static const struct {
        const char *text;
        bool tls;
    } of[] = {{"user = u\n", false},        {"tls = yes\n", true},
              {"tls = no\n", false},        {"ca = /ca\n", true},
              {"tls = no\nca = c\n", true}, {"certificate = a\nkey = b\n", true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ck_assert_int_eq(parsed(of[i].text), NR_OK);
        ck_assert_msg(login.tls == of[i].tls, "%s", of[i].text);
    }
}
END_TEST

START_TEST(together)
{
    static const char *const bad[] = {"key = b\n", "certificate = a\n", "password = x\n"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ck_assert_msg(parsed(bad[i]) == NR_BAD, "%s", bad[i]);
        ck_assert_int_eq(err.line, 0);
    }
    ck_assert_int_eq(parsed("user = x\n"), NR_OK); /* without a password */
}
END_TEST

/* A value as long as its place and one longer; a line as long as there is room for, and longer. */
START_TEST(long_ones)
{
    static const struct {
        const char *key;
        size_t room;
    } of[] = {{"user", sizeof login.user},
              {"ca", sizeof login.ca},
              {"certificate", sizeof login.certificate}};
    static char text[NR_ERR_FILE + 300];
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (size_t more = 0; more < 2; more++) {
            int n = snprintf(text, sizeof text, "%s=", of[i].key);
            memset(text + n, 'x', of[i].room - 1 + more);
            snprintf(text + n + (int)(of[i].room - 1 + more), 20, "\nkey=k");
            bool pair = i == 2; /* or else one of them is missing */
            if (!pair)
                text[n + (int)(of[i].room - 1 + more)] = '\0';
            ck_assert_msg(parsed(text) == (more ? NR_BAD : NR_OK), "%s %zu: %s", of[i].key, more,
                          err.text);
            if (more)
                ck_assert_ptr_nonnull(strstr(err.text, "too long"));
        }
    for (size_t n = NR_ERR_FILE + 62; n < NR_ERR_FILE + 66; n++) {
        memset(text, 'x', n);
        memcpy(text, "#", 1);
        text[n] = '\0';
        ck_assert_int_eq(parsed(text), n < NR_ERR_FILE + 64 ? NR_OK : NR_BAD);
    }
    ck_assert_int_eq(nr_login_parse("user=a\nuser=b\0c\n", 16, "login", &login, &err), NR_BAD);
    ck_assert_int_eq(err.line, 2);
    ck_assert_int_eq(parsed("\n\n#\n u\n"), NR_BAD);
    ck_assert_int_eq(err.line, 4);
}
END_TEST

/* Nobody but its owner, where there is a password in it. */
START_TEST(who_may_read_it)
{
    char path[] = "/tmp/test_login.XXXXXX";
    int fd = mkstemp(path);
    static const char *const texts[] = {"user = u\npassword = p\n", "user = u\n"};
    for (int secret = 1; secret >= 0; secret--) {
        const char *text = texts[!secret];
        ck_assert(ftruncate(fd, 0) == 0 &&
                  pwrite(fd, text, strlen(text), 0) == (ssize_t)strlen(text));
        for (mode_t bit = 0; bit < 9; bit++) {
            mode_t mode = 0400 | (mode_t)(1U << bit);
            ck_assert_int_eq(fchmod(fd, mode), 0);
            nr_code code = nr_login_read(path, &login, &err);
            ck_assert_msg(code == (secret && bit < 6 ? NR_BAD : NR_OK), "%o", (unsigned)mode);
        }
    }
    close(fd);
    unlink(path);
    ck_assert_int_eq(nr_login_read(path, &login, &err), NR_BAD);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {each_key, encrypted, together, long_ones, who_may_read_it, NULL};
    return run_tests("login", tests);
}
