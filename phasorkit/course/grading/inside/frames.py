"""Messages between grader and kernel over a socket: a length and JSON, so that nothing in them can run."""

from __future__ import annotations

import json
import socket
import struct
from typing import Any

_LENGTH = struct.Struct("!I")


class Closed(ConnectionError):
    """The other side is gone, or does not keep to the form."""


def send(connection: socket.socket, message: dict[str, Any]) -> None:
    """Send one message."""
    body = json.dumps(message).encode("ascii")
    connection.sendall(_LENGTH.pack(len(body)) + body)


def size(message: object) -> int:
    """Bytes of a message's texts, roughly and quickly; the rest of it counts nothing."""
    if isinstance(message, str):
        return len(message)
    if isinstance(message, dict):
        return sum(map(size, message.values()))
    return sum(map(size, message)) if isinstance(message, list | tuple) else 0


def receive(connection: socket.socket, largest: int) -> tuple[dict[str, Any], int]:
    """The next message and its size in bytes; waits as long as the socket's timeout says for each part.

    Raises
    ------
    Closed
        The other side is gone, or sent more than `largest` bytes or no JSON object.
    TimeoutError
        Nothing came.
    """
    size = _LENGTH.unpack(_exactly(connection, _LENGTH.size))[0]
    if size > largest:
        raise Closed(f"a message of {size} bytes")
    try:
        message = json.loads(_exactly(connection, size))
    except (ValueError, RecursionError) as error:
        raise Closed("a message that is no JSON") from error
    if not isinstance(message, dict):
        raise Closed("a message of another form")
    return message, size


def _exactly(connection: socket.socket, size: int) -> bytes:
    parts = []
    while size:
        try:
            part = connection.recv(min(size, 1 << 16))
        except TimeoutError:
            raise
        except OSError as error:
            raise Closed(str(error)) from error
        if not part:
            raise Closed("the other side is gone")
        parts.append(part)
        size -= len(part)
    return b"".join(parts)
