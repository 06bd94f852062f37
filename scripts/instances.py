"""Instances of the service that a check starts, stops and starts again, on this machine only."""

import http.client
import signal
import socket
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

PATIENCE = 15
"""Seconds to wait for what takes a moment."""


def free_ports(count: int) -> list[int]:
    """Find ports that are free."""
    sockets = [socket.socket() for _ in range(count)]
    for one in sockets:
        one.bind(("127.0.0.1", 0))
    ports = [one.getsockname()[1] for one in sockets]
    for one in sockets:
        one.close()
    return ports


def until(what: str, check: Callable[[], bool]) -> None:
    """Wait until something holds."""
    end = time.monotonic() + PATIENCE
    while not check():
        if time.monotonic() > end:
            raise SystemExit(f"not within {PATIENCE} s: {what}")
        time.sleep(0.02)


def status(port: int, path: str) -> int:
    """Ask for a path; 0 if nobody answers."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path)
        return connection.getresponse().status
    except (OSError, http.client.HTTPException):
        return 0
    finally:
        connection.close()


class Instance:
    """One instance, with one worker."""

    def __init__(self, program: str, **settings: str) -> None:
        """Start it on a free port, with these settings."""
        (self.port,) = free_ports(1)
        settings = {"bind": f"127.0.0.1:{self.port}", "workers": "1"} | settings
        flags = [word for name, value in settings.items() for word in (f"--{name.replace('_', '-')}", value)]
        self._command = [program, "serve", *flags]
        self.start()

    def start(self) -> None:
        """Start it, and wait until it is ready."""
        self._run = subprocess.Popen(self._command, stderr=subprocess.DEVNULL)
        until("ready", lambda: status(self.port, "/health/ready") == http.HTTPStatus.OK)

    def cpu(self) -> float:
        """CPU seconds so far of the threads there are."""
        threads = Path(f"/proc/{self._run.pid}/task").iterdir()
        return sum(int((thread / "schedstat").read_text().split()[0]) for thread in threads) / 1e9

    def end(self, how: signal.Signals, within: float = PATIENCE) -> int:
        """End it; return its exit status."""
        self._run.send_signal(how)
        return self._run.wait(within)
