"""The client of the checks: one kept connection to the service under test, on this machine only."""

import http.client
import json
import socket
from typing import Any, NamedTuple
from urllib.parse import urlsplit

LOOPBACK = {"127.0.0.1", "::1", "localhost"}
TIMEOUT_SECONDS = 120


class Answer(NamedTuple):
    """What came back."""

    status: int
    media_type: str
    """Without its parameters; empty if there is none."""
    body: bytes

    def json(self) -> Any:  # noqa: ANN401 - any JSON value
        """Read the body as a JSON value; raises ValueError if it is none."""
        return json.loads(self.body)

    def is_json(self) -> bool:
        """Tell whether this is application/json or a media type ending in +json."""
        return is_json(self.media_type)


class Service:
    """A service on this machine. Nothing is ever sent anywhere else."""

    def __init__(self, url: str) -> None:
        """Remember where the service is; the connection is opened by the first request."""
        parts = urlsplit(url)
        if parts.scheme != "http" or parts.hostname not in LOOPBACK or parts.port is None:
            raise SystemExit(f"{url}: expected http://127.0.0.1:PORT")
        self._connection = http.client.HTTPConnection(parts.hostname, parts.port, timeout=TIMEOUT_SECONDS)

    def ask(self, method: str, target: str, headers: dict[str, str] | None = None, body: bytes | None = None) -> Answer:
        """Send one request and read the whole answer."""
        for last_try in (False, True):
            try:
                if self._connection.sock is None:
                    self._connection.connect()
                    # Without this, each request with a body waits 40 ms for the acknowledgement of its head.
                    self._connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                self._connection.request(method, target, body, headers or {})
                response = self._connection.getresponse()
                media_type = response.headers.get_content_type() if "content-type" in response.headers else ""
                return Answer(response.status, media_type, response.read())
            except (http.client.RemoteDisconnected, BrokenPipeError, ConnectionResetError):
                # A kept connection may have been closed while it was idle: once more, on a new one.
                self._connection.close()
                if last_try:
                    raise
        raise AssertionError("not reached")


def is_json(media_type: str) -> bool:
    """Tell whether this is application/json or a media type ending in +json."""
    media_type = media_type.split(";")[0].strip().lower()
    return media_type == "application/json" or media_type.endswith("+json")
