/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mqttlisten PORT TOPIC [CA USER PASSWORD]: prints what a broker on this computer hands on, a line
 * a message, and connects again when it is lost. */
#include <mosquitto.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>

static void on_connect(struct mosquitto *client, void *topic, int why)
{
    if (why == 0)
        mosquitto_subscribe(client, NULL, topic, 1);
}

static void on_subscribed(struct mosquitto *client, void *topic, int message, int count,
                          const int *granted)
{
    (void)client, (void)topic, (void)message, (void)count, (void)granted;
    puts("listening");
    fflush(stdout);
}

static void on_message(struct mosquitto *client, void *topic, const struct mosquitto_message *m)
{
    (void)client, (void)topic;
    printf("%.*s\n", m->payloadlen, (const char *)m->payload);
    fflush(stdout);
}

int main(int argc, char **argv)
{
    if (argc != 3 && argc != 6)
        return 2;
    mosquitto_lib_init();
    struct mosquitto *client = mosquitto_new(NULL, true, argv[2]);
    if (!client)
        return 2;
    mosquitto_connect_callback_set(client, on_connect);
    mosquitto_subscribe_callback_set(client, on_subscribed);
    mosquitto_message_callback_set(client, on_message);
    if (argc == 6) {
        mosquitto_tls_set(client, argv[3], NULL, NULL, NULL, NULL);
        mosquitto_username_pw_set(client, argv[4], argv[5]);
    }
    while (mosquitto_connect(client, "localhost", atoi(argv[1]), 5) != MOSQ_ERR_SUCCESS)
        poll(NULL, 0, 100);
    for (;;)
        if (mosquitto_loop(client, 100, 1) != MOSQ_ERR_SUCCESS) {
            poll(NULL, 0, 100);
            mosquitto_reconnect(client);
        }
}
