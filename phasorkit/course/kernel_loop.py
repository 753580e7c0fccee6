"""The event loop in which a program talks to a kernel."""

from __future__ import annotations

import asyncio
import sys


def kernel_loop() -> asyncio.AbstractEventLoop:
    """An event loop that sockets of the kernel protocol can use (on Windows not the default one)."""
    return asyncio.SelectorEventLoop() if sys.platform == "win32" else asyncio.new_event_loop()
