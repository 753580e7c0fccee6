"""The server that ``phasorkit open`` starts sends every message of the kernel at once.

Outside truth: RFC 896 (small messages held back), RFC 1122, 4.2.3.2 (late acknowledgements); tornado's `set_nodelay`
is the switch. What it saves is measured in tests/bench/test_bench_browser.py.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyter_server.services.kernels.websocket import KernelWebsocketHandler

from phasorkit.commands.open_course import SETTINGS, lab_environment
from phasorkit.commands.prompt_socket import PromptConnection


def test_the_line_is_told_not_to_wait_before_it_connects(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[object] = []
    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", lambda line: said.append("connected"))
    handler = KernelWebsocketHandler.__new__(KernelWebsocketHandler)
    monkeypatch.setattr(handler, "set_nodelay", said.append, raising=False)
    line = PromptConnection.__new__(PromptConnection)
    line.websocket_handler = handler
    line.connect()
    assert said == [True, "connected"]


def test_the_server_of_the_course_takes_this_line(tmp_path: object) -> None:
    """Asked of Jupyter Server itself, with the environment that the command gives it."""
    assert os.pathsep.join([str(SETTINGS)]) in lab_environment()["JUPYTER_CONFIG_PATH"]
    asked = [sys.executable, "-m", "jupyterlab", "--show-config-json"]
    environment = lab_environment() | {"JUPYTER_CONFIG_DIR": str(tmp_path)}
    shown = subprocess.run(asked, env=environment, capture_output=True, text=True, check=True, timeout=300).stdout
    server = json.loads(shown)["ServerApp"]
    line = f"{PromptConnection.__module__}.{PromptConnection.__name__}"
    assert server["kernel_websocket_connection_class"] == line
