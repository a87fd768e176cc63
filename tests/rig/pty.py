"""A scale's end of a serial line, without hardware: a pseudo-terminal that can be pulled and plugged again.

usage: python3 pty.py LINK     LINK is a symbolic link that the program under test opens

Commands on standard input, one JSON object a line. Bytes are given as "hex" or, in latin1, as "text".
  {"text": "ST,GS,+  1.0 g\\r\\n"}                 send now
  {"at_ms": 250, "text": "..."}                  send 250 ms after the last "zero" (or the start)
  {"zero": true}                                 counts at_ms from now on, forgets what was planned
  {"every_ms": 10, "texts": ["...", "..."]}      send one after the other, round and round, until "stop";
                                                 goes on after a plug
  {"stop": true}                                 no more planned or repeated sending
  {"pull": true}   {"plug": true}                take the line away (and the link), bring it back
Standard input closed: pull and exit.

Answers on standard output, one JSON object a line: {"plugged": "/dev/pts/7", "mono_ms": ...},
{"pulled": true, "mono_ms": ...}, {"got": "hex of what the program sent"}, {"done": "stop"}.
A pseudo-terminal has no parity, no speed and no control lines.
"""

import heapq
import json
import os
import select
import sys
import time
import tty


def now_ms():
    return time.monotonic() * 1000


def say(**fields):
    sys.stdout.write(json.dumps(fields) + "\n")
    sys.stdout.flush()


def payload(command):
    if "hex" in command:
        return bytes.fromhex(command["hex"])
    return command["text"].encode("latin1")


class Line:
    def __init__(self, link):
        self.link = link
        self.master = None
        self.slave = None
        self.waiting = b""
        self.name = None

    def plug(self):
        if self.master is not None:
            return
        self.master, self.slave = os.openpty()
        if os.ttyname(self.slave) == self.name:
            used = self.master, self.slave
            self.master, self.slave = os.openpty()
            for one in used:
                os.close(one)
        self.name = os.ttyname(self.slave)
        tty.setraw(self.slave)
        os.set_blocking(self.master, False)
        fresh = self.link + ".new"
        os.symlink(os.ttyname(self.slave), fresh)
        os.replace(fresh, self.link)
        say(plugged=os.ttyname(self.slave), mono_ms=now_ms())

    def pull(self):
        if self.master is not None:
            os.unlink(self.link)
            os.close(self.master)
            os.close(self.slave)
            self.master = self.slave = None
            self.waiting = b""
        say(pulled=True, mono_ms=now_ms())

    def send(self, data):
        if self.master is None:
            return
        self.waiting += data
        try:
            self.waiting = self.waiting[os.write(self.master, self.waiting) :]
        except BlockingIOError:
            pass


def main():
    line = Line(sys.argv[1])
    line.plug()
    zero = now_ms()
    planned, order = [], 0
    repeat = None
    typed = b""
    while True:
        reads = [0] + ([line.master] if line.master is not None else [])
        writes = [line.master] if line.waiting and line.master is not None else []
        due = [planned[0][0]] if planned else []
        due += [repeat["next"]] if repeat else []
        wait = max(0, min(due) - now_ms()) / 1000 if due else None
        ready, free, _ = select.select(reads, writes, [], wait)
        if free:
            line.send(b"")
        if line.master is not None and line.master in ready:
            try:
                say(got=os.read(line.master, 65536).hex())
            except OSError:
                pass
        if 0 in ready:
            chunk = os.read(0, 65536)
            if not chunk:
                line.pull()
                return
            *commands, typed = (typed + chunk).split(b"\n")
            for text in commands:
                command = json.loads(text)
                if "every_ms" in command:
                    texts = [t.encode("latin1") for t in command["texts"]]
                    repeat = {"every": command["every_ms"], "texts": texts, "at": 0, "next": now_ms()}
                elif "at_ms" in command:
                    order += 1
                    heapq.heappush(planned, (zero + command["at_ms"], order, payload(command)))
                elif "hex" in command or "text" in command:
                    line.send(payload(command))
                elif "zero" in command:
                    zero, planned = now_ms(), []
                elif "stop" in command:
                    planned, repeat = [], None
                    say(done="stop")
                elif "pull" in command:
                    line.pull()
                elif "plug" in command:
                    line.plug()
                else:
                    raise SystemExit(f"unknown command {text!r}")
        while planned and planned[0][0] <= now_ms():
            line.send(heapq.heappop(planned)[2])
        if repeat and repeat["next"] <= now_ms():
            line.send(repeat["texts"][repeat["at"] % len(repeat["texts"])])
            repeat["at"] += 1
            repeat["next"] = max(repeat["next"] + repeat["every"], now_ms() - 5 * repeat["every"])


main()
