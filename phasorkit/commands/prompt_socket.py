"""The kernel's line to the page, without waiting.

A server holds a small message back until the one before it is acknowledged (Nagle, RFC 896), and a receiver may
acknowledge late (RFC 1122, 4.2.3.2: up to 500 ms; 40 ms on Linux). A frame of an app is a few small messages, so every
picture would come that much later. ``phasorkit open`` names this class in its server settings.
"""

from __future__ import annotations

import asyncio

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """Jupyter Server's own connection, every message sent at once."""

    def connect(self) -> asyncio.Future[None] | None:  # type: ignore[override]  # as the class above declares it
        """Connect as Jupyter Server does."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
