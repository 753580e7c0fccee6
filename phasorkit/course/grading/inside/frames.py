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
    """The next message and its length in bytes; waits as long as the socket's timeout says for each part.

    For a side that is trusted: one that sends a byte now and then keeps this waiting without end (see `Incoming`).

    Raises
    ------
    Closed
        The other side is gone, or sent more than `largest` bytes or no JSON object.
    TimeoutError
        Nothing came.
    """
    length = _length(_exactly(connection, _LENGTH.size), largest)
    return _message(_exactly(connection, length)), length


class Incoming:
    """Messages of a side that nobody vouches for, put together from the parts in which they come; it never waits.

    `largest`: bytes of the largest message that is taken.
    """

    def __init__(self, largest: int) -> None:
        self._largest = largest
        self._data = bytearray()

    def add(self, part: bytes) -> None:
        """Take what has come; nothing at all means that the other side is gone, which raises `Closed`."""
        if not part:
            raise Closed("the other side is gone")
        self._data += part

    def take(self) -> tuple[dict[str, Any], int] | None:
        """The next message and its length in bytes, or None while it is not whole; `Closed` as in `receive`."""
        if len(self._data) < _LENGTH.size:
            return None
        length = _length(bytes(self._data[: _LENGTH.size]), self._largest)
        end = _LENGTH.size + length
        if len(self._data) < end:
            return None
        body = bytes(self._data[_LENGTH.size : end])
        del self._data[:end]
        return _message(body), length


def _length(head: bytes, largest: int) -> int:
    length = int(_LENGTH.unpack(head)[0])
    if length > largest:
        raise Closed(f"a message of {length} bytes")
    return length


def _message(body: bytes) -> dict[str, Any]:
    try:
        message = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise Closed("a message that is no JSON") from error
    if not isinstance(message, dict):
        raise Closed("a message of another form")
    return message


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
