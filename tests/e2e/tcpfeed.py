#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""tcpfeed.py PORTFILE [--v6] [--port N] [--cut N]: an adapter behind a TCP connection.

Listens on loopback (PORTFILE gets the port), sends seq=N,store=... ten times a second to whoever is
connected, and counts on over all connections. --cut N: each connection is closed in the middle of
its Nth line. What a client sends is counted as an error: exit status 3.
"""
import socket
import sys
import time

args = sys.argv[2:]
value = lambda name: int(args[args.index(name) + 1]) if name in args else 0
listener = socket.socket(socket.AF_INET6 if "--v6" in args else socket.AF_INET)
listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
listener.bind(("::1" if "--v6" in args else "127.0.0.1", value("--port")))
listener.listen(4)
with open(sys.argv[1] + ".new", "w") as file:
    file.write(str(listener.getsockname()[1]))
import os
os.rename(sys.argv[1] + ".new", sys.argv[1])
sequence = 0
while True:
    client, _ = listener.accept()
    client.setblocking(False)
    sent = 0
    try:
        while True:
            sequence += 1
            sent += 1
            line = f"seq={sequence},store={20 + sequence % 30}.5,inlet=20,sun=700\n".encode()
            if sent == value("--cut"):
                client.send(line[:12])
                break
            client.send(line)
            try:
                if client.recv(100):
                    sys.exit(3)
                break
            except BlockingIOError:
                pass
            time.sleep(0.1)
    except OSError:
        pass
    client.close()
