"""Three instances behind HAProxy under load: one is killed, then all are renewed one after another; nobody notices.

Runs deploy/haproxy.cfg. What it proves, every answer compared with the first one:
- an instance that is killed (KILL) loses no request where HAProxy asks again, as that file has it;
- a planned stop (TERM) of each instance in turn loses no request though HAProxy asks nothing again, since an instance
  says that it is not ready before it stops taking requests;
- every instance got requests, before and after it was renewed.

Needs HAProxy. Everything listens on this machine only.

Usage: check_rolling.py PROGRAM
"""

import contextlib
import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from instances import PATIENCE, Instance, free_ports, status, until

ROOT = Path(__file__).resolve().parent.parent
BODY = (ROOT / "demo-data/applications/kitchen-garden.json").read_bytes()
NAMES = ("ONE", "TWO", "THREE")
CALLERS = 4
DRAIN = 2
STOP_WITHIN = 5
SETTINGS = {"drain": str(DRAIN), "stop_within": str(STOP_WITHIN), "log": "off"}


class Load:
    """Callers that ask the same question over and over, each on kept connections."""

    def __init__(self, port: int, *, repeats: bool = False) -> None:
        """Ask once for the answer to expect; with `repeats`, callers ask again where a connection just closes."""
        self._port = port
        self._repeats = repeats
        self.repeated = 0
        self.counts = Counter()
        self.lost: list[str] = []
        self._expected = self._ask(self._connect())
        assert self._expected[0] == http.HTTPStatus.OK, self._expected

    def _connect(self) -> http.client.HTTPConnection:
        connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=30)
        connection.connect()
        connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return connection

    def _ask(self, connection: http.client.HTTPConnection) -> tuple[int, bytes]:
        connection.request("POST", "/v1/applications", BODY, {"content-type": "application/json"})
        response = connection.getresponse()
        answer = response.status, response.read()
        self.counts[response.headers.get("x-instance")] += 1
        return answer

    def _call(self, done: threading.Event) -> None:
        connection = self._connect()
        while not done.is_set():
            try:
                answer = self._ask(connection)
                if answer != self._expected:
                    self.lost.append(f"{answer[0]} {answer[1][:200]!r}")
            except (OSError, http.client.HTTPException) as error:
                connection.close()
                connection = self._connect()
                if not (self._repeats and isinstance(error, http.client.RemoteDisconnected)):
                    self.lost.append(repr(error))
                elif self._ask(connection) == self._expected:
                    self.repeated += 1
                else:
                    self.lost.append(f"{error!r}, and so again")

    @contextlib.contextmanager
    def going_on(self) -> Iterator[None]:
        """Ask while something else is done."""
        done = threading.Event()
        self.counts, self.lost = Counter(), []
        callers = [threading.Thread(target=self._call, args=(done,)) for _ in range(CALLERS)]
        for caller in callers:
            caller.start()
        try:
            yield
        finally:
            done.set()
            for caller in callers:
                caller.join()


@contextlib.contextmanager
def proxy(instances: list[Instance], text: str, *, repeats: bool = False) -> Iterator[Load]:
    """Run HAProxy with a configuration that also names the instance in each answer."""
    (port,) = free_ports(1)
    text = text.replace("default_backend", "http-response set-header x-instance %s\n    default_backend")
    addresses = {f"BARROWFUL_{name}": f"127.0.0.1:{one.port}" for name, one in zip(NAMES, instances, strict=True)}
    with tempfile.NamedTemporaryFile("w", suffix=".cfg") as file:
        file.write(text)
        file.flush()
        env = os.environ | addresses | {"PROXY_BIND": f"127.0.0.1:{port}"}
        run = subprocess.Popen(["haproxy", "-q", "-f", file.name], env=env, stdout=subprocess.DEVNULL)
        try:
            until("HAProxy serves", lambda: status(port, "/health/ready") == http.HTTPStatus.OK)
            yield Load(port, repeats=repeats)
        finally:
            run.terminate()
            run.wait()


def report(what: str, load: Load) -> None:
    """Print what came of it; stop at the first request lost."""
    names = ", ".join(f"{name} {count}" for name, count in sorted(load.counts.items(), key=str))
    again = f", {load.repeated} asked again by the caller" if load.repeated else ""
    print(f"{what}: {sum(load.counts.values())} answers ({names}), {len(load.lost)} lost{again}", flush=True)
    assert load.repeated <= CALLERS, load.repeated
    assert not load.lost, load.lost[:5]
    assert set(load.counts) == {name.lower() for name in NAMES}, load.counts


def main() -> int:
    """Kill one, then renew all."""
    text = (ROOT / "deploy/haproxy.cfg").read_text()
    without_retries, changed = re.subn(r"(?m)^    (retries|retry-on|option redispatch) .*$", "", text)
    assert changed == len(("retries", "retry-on", "option redispatch")), text
    without_retries = without_retries.replace("timeout queue", "retries 0\n    timeout queue")
    instances = [Instance(sys.argv[1], **SETTINGS) for _ in NAMES]
    try:
        with proxy(instances, text, repeats=True) as load:
            with load.going_on():
                time.sleep(1)
                instances[0].end(signal.SIGKILL)
                time.sleep(2)
                instances[0].start()
                time.sleep(2)
            report("one killed, with retries", load)
        with proxy(instances, without_retries) as load:
            for one in instances:
                with load.going_on():
                    time.sleep(1)
                    assert one.end(signal.SIGTERM, DRAIN + STOP_WITHIN + PATIENCE) == 0, "a planned stop ends in order"
                    one.start()
                    time.sleep(1.5)
                report("one renewed, without retries", load)
    finally:
        for one in instances:
            one.end(signal.SIGKILL)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
