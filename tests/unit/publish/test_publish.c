/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How to log in to a broker, what a message looks like, which addresses are none. The broker itself
 * is a real one, in e2e.record_mqtt. */
#include "logger/publish/publish.h"

#include "tests/unit/near.h"

static nr_rig rig;

static void read_rig(void)
{
    static const char text[] = "[adapter]\nport = /dev/x\n[channel store]\nunit = degC\n"
                               "[channel air]\nunit = degF\n";
    nr_err err;
    ck_assert_int_eq(
        nr_rig_parse(text, sizeof text - 1, "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err), NR_OK);
}

START_TEST(test_message)
{
    char text[NR_PUBLISH_MESSAGE];
    nr_sample row = {.utc_s = 1780000010.25, .elapsed_s = 10.25, .value = {41.5, NAN}};
    static const char wanted[] = "{\"time_utc\":\"2026-05-28T20:26:50.250Z\",\"elapsed_s\":10.25,"
                                 "\"store_degC\":41.5,\"air_degC\":null}";
    read_rig();
    size_t n = nr_publish_json(&rig, &row, text, sizeof text);
    ck_assert_uint_eq(n, sizeof wanted - 1);
    ck_assert_int_eq(memcmp(text, wanted, n), 0);
    ck_assert_uint_eq(nr_publish_json(&rig, &row, text, n - 1), 0);
}
END_TEST

START_TEST(test_login)
{
    static const struct {
        const char *text;
        long line; /* -1: good */
        const char *says;
    } files[] = {{"", -1, ""},
                 {"# mine\n\n user = shed \npassword = a=b c\n", -1, ""},
                 {"user = shed", -1, ""},
                 {"tls = yes\r\n", -1, ""},
                 {"user shed\n", 1, "key = value"},
                 {"\nuzer = shed\n", 2, "no key \"uzer\""},
                 {"tls = perhaps\n", 1, "yes or no"},
                 {"user =\n", 1, "no value"},
                 {"password = x\n", 0, "no user"},
                 {"certificate = a.pem\n", 0, "go together"}};
    nr_login login;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        nr_err err = {.line = -1};
        nr_code code = nr_login_parse(files[i].text, strlen(files[i].text), "login", &login, &err);
        ck_assert_msg(code == (files[i].line < 0 ? NR_OK : NR_BAD), "%s", files[i].text);
        if (code == NR_OK)
            continue;
        ck_assert_int_eq(err.line, files[i].line);
        ck_assert_msg(strstr(err.text, files[i].says) != NULL, "%s", err.text);
    }
    static const char all[] = "user = u\npassword = a=b c\nca = /c.pem\n";
    ck_assert_int_eq(nr_login_parse(all, sizeof all - 1, "login", &login, NULL), NR_OK);
    ck_assert_str_eq(login.password, "a=b c");
    ck_assert(login.tls); /* an authority means TLS */
}
END_TEST

START_TEST(test_what_cannot_be)
{
    static const struct {
        const char *server, *topic, *says;
    } bad[] = {{"", "t", "HOST"},          {"host:0", "t", "HOST"},     {"host:x", "t", "HOST"},
               {"[::1", "t", "HOST"},      {"[::1]9", "t", "HOST"},     {"host", "", "--topic"},
               {"host", "a/#", "--topic"}, {"host", "a/+/b", "--topic"}};
    nr_login login = {.tls = false};
    read_rig();
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        nr_publisher *p = NULL;
        nr_err err = {0};
        nr_code code = nr_publish_start(&rig, bad[i].server, bad[i].topic, &login, &p, &err);
        ck_assert_msg(code == NR_BAD && strstr(err.text, bad[i].says), "%s %s: %s", bad[i].server,
                      bad[i].topic, err.text);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_message, test_login, test_what_cannot_be, NULL};
    return run_tests("publish", tests);
}
