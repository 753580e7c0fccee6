"""The command line as its users type it: sheets, JSON, one-line errors, generated pages, the way the course opens."""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from pathlib import Path

import psutil
import pytest
import zmq
from jupyter_client.manager import KernelManager

from phasorkit.cli import main
from phasorkit.commands.open_course import lab_command
from phasorkit.indicators import circuits

ROOT = Path(__file__).resolve().parent.parent
BRIDGE = ["size", "divider-bridge", "--capacitor", "4n7", "--frequency", "50", "--line-voltage", "400"]
SUPPLY = ["--frequency", "50", "--line-voltage", "400"]
OWN = {
    "two-lamp-capacitor": ["--capacitor", "33n"],
    "two-lamp-inductor": ["--inductor", "2H"],
    "led-pair": ["--capacitor", "33n"],
}


def _json(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict:
    assert main([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_bridge_for_4n7_at_50_hz_is_391_kilohm_bought_as_390(capsys) -> None:
    """Common practice: 391 kΩ for 4.7 nF at 50 Hz, bought as 390 kΩ; dark for 123, √3/2 of line voltage for 132."""
    data = _json(BRIDGE, capsys)
    assert data["circuit"] == "divider-bridge"
    assert data["reactance_ohm"] == pytest.approx(1 / (2 * 3.141592653589793 * 50 * 4.7e-9), rel=1e-12)
    assert data["resistance_ohm"] == pytest.approx(391e3, rel=5e-4)
    assert data["preferred_ohm"] == 390e3
    assert data["lamp_volts"]["123"] == pytest.approx([0], abs=1e-9)
    assert data["lamp_volts"]["132"] == pytest.approx([400 * 3**0.5 / 2], rel=1e-12)
    parts = {p["name"]: (p["kind"], p["unit"], set(p["between"])) for p in data["parts"]}
    assert parts == {
        "R1": ("R", "Ω", {"L1", "M"}),
        "R2": ("R", "Ω", {"M", "L3"}),
        "R3": ("R", "Ω", {"L3", "P"}),
        "C1": ("C", "F", {"P", "L2"}),
    }


@pytest.mark.parametrize("name", sorted(circuits()))
def test_every_circuit_has_a_sheet_and_its_json(name: str, capsys) -> None:
    """The JSON is strict, has a wiring record for each state, and the sheet for a person carries the caution."""
    arguments = ["size", name, *OWN.get(name, ["--capacitor", "4n7"]), *SUPPLY]
    data = _json(arguments, capsys)
    lamps = len(data["lamps"])
    assert len(data["wiring"]) == (18 if name == "touch-probe" else 26)
    for record in data["wiring"]:
        assert record["sequence"] in ("123", "132")
        assert len(record["lamp_volts"]) == len(record["lamp_states"]) == lamps
        assert record["conclusion"] in ("123", "132", "fault", "nothing", "can't tell")
        assert record["verdict"] in ("true", "can't tell", "misleading")
    assert main(arguments) == 0
    assert "Dark is never proof of absence of voltage" in " ".join(capsys.readouterr().out.split())


def test_two_lamps_of_a_33_nf_pair_measure_what_the_trade_measures(capsys) -> None:
    """Common practice: 33 nF with two 100 kΩ lamps on 400 to 412 V measures about 94 V and 350 to 360 V."""
    data = _json(
        ["size", "two-lamp-capacitor", "--capacitor", "33n", "--frequency", "50Hz", "--line-voltage", "406V"], capsys
    )
    assert data["preferred_ohm"] == 100e3
    bright, dim = data["lamp_volts_preferred"]["123"]
    assert 348 < bright < 362
    assert dim == pytest.approx(94, abs=4)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        (["--capacitor", "4.7"], "write it like 4n7"),
        (["--capacitor", "-4n7"], "accepted: 1 pF to 1 mF"),
        (["--capacitor", "0n"], "accepted: 1 pF to 1 mF"),
        (["--capacitor", "4700F"], "accepted: 1 pF to 1 mF"),
        (["--frequency", "0"], "accepted: 10 Hz to 1 kHz"),
        (["--frequency", "fifty"], "50 or 50 Hz"),
        (["--line-voltage", "-400"], "accepted: 1 V to 1 kV"),
        (["--line-voltage", "400 A"], "value in V"),
        (["--series", "E13"], "E24"),
    ],
)
def test_bad_input_is_one_clear_line_and_exit_code_2(changed: list[str], says: str, capsys) -> None:
    """The line names the option and what is accepted; nothing goes to the sheet."""
    with pytest.raises(SystemExit) as end:
        main([*BRIDGE, *changed])
    out, err = capsys.readouterr()
    assert end.value.code == 2
    assert out == ""
    assert err.count("\n") == 1
    assert changed[0] in err
    assert says in err


def test_neither_capacitor_nor_lamps_is_told(capsys) -> None:
    """Two lamps need one or the other; the line says which."""
    with pytest.raises(SystemExit) as end:
        main(["size", "two-lamp-capacitor", *SUPPLY])
    assert end.value.code == 2
    line = capsys.readouterr().err
    assert "give --capacitor [F], or --lamp-voltage [V] and --lamp-power [W]" in line
    assert "lamp_voltage" not in line


def test_generated_pages_are_up_to_date_and_a_change_is_seen(tmp_path: Path, monkeypatch, capsys) -> None:
    """`teach pages --check` is silent on the tree as it is, and names a page that somebody edited or added."""
    shutil.copytree(ROOT / "lessons", tmp_path / "lessons")
    shutil.copytree(ROOT / "exercises", tmp_path / "exercises")
    monkeypatch.chdir(tmp_path)
    assert main(["teach", "pages", "--check"]) == 0
    page = tmp_path / "lessons" / "reference-wiring.md"
    page.write_text(page.read_text(encoding="utf-8") + "edited\n", encoding="utf-8", newline="\n")
    (tmp_path / "lessons" / "pictures" / "stray.svg").write_text("<svg/>", encoding="utf-8")
    assert main(["teach", "pages", "--check"]) == 1
    out = capsys.readouterr().out
    assert "lessons/reference-wiring.md differs" in out
    assert "lessons/pictures/stray.svg differs" in out


def test_bench_sheets_are_written_for_every_circuit_and_a_folder_in_the_way_is_told(tmp_path: Path, capsys) -> None:
    """One page for each circuit and source and an index; a file where the folder should be is one line and 2."""
    assert main(["teach", "bench", "--out", str(tmp_path / "sheets")]) == 0
    pages = [p.name for p in (tmp_path / "sheets").glob("*.html")]
    assert all(any(name in page for page in pages) for name in circuits())
    assert "bench.html" in pages
    (tmp_path / "file").write_text("x", encoding="utf-8")
    assert main(["teach", "bench", "--out", str(tmp_path / "file")]) == 2
    assert capsys.readouterr().err.startswith("phasorkit teach bench: ")


def test_the_course_opens_on_the_start_lesson_with_no_browser_where_there_is_no_display() -> None:
    """JupyterLab gets the start lesson and the port; without a display it only prints the address."""
    hidden, shown = lab_command(8899, browser=False), lab_command(8899, browser=True)
    assert hidden[:3] == [sys.executable, "-m", "jupyterlab"]
    assert "--ServerApp.port=8899" in hidden
    assert "--no-browser" in hidden
    assert "--no-browser" not in shown


@pytest.mark.skipif(not zmq.has("curve"), reason="no encryption in this build of ZeroMQ")
def test_a_kernel_of_the_course_has_no_reason_to_warn(tmp_path: Path) -> None:
    """Started with the switch that `open` gives JupyterLab, its line has a key (RFC 26 of ZeroMQ, CurveZMQ)."""
    (policy,) = [word.partition("=")[2] for word in lab_command(8899, browser=False) if "encryption=" in word]
    kernel = KernelManager(transport_encryption=policy)
    kernel.start_kernel(cwd=str(tmp_path), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        assert len(kernel.get_connection_info()["curve_publickey"]) == 40  # Z85, RFC 32
    finally:
        kernel.shutdown_kernel(now=True)


def test_the_printed_address_leads_to_the_start_lesson(tmp_path: Path) -> None:
    """Run for real: among the first lines is an address of this machine that ends in the start lesson, with a key."""
    course, port = _opened(tmp_path)
    try:
        _read_until(course, rf"http://127\.0\.0\.1:{port}/lab/tree/lessons/00-start\.ipynb\?token=\w+")
    finally:
        _end(course.pid)
        course.communicate(timeout=30)


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal as on Linux and macOS")
def test_ctrl_c_lets_jupyterlab_ask_and_end_by_itself(tmp_path: Path) -> None:
    """Ctrl+C at a terminal goes to both programs: JupyterLab asks at the first and ends at the second; ours waits.

    JupyterLab keeps a file of its address while it runs, and takes it away when it ends by itself.
    """
    terminal, theirs = os.openpty()
    course, port = _opened(tmp_path, stdin=theirs)
    try:
        _read_until(course, r"token=\w+")
        _wait_until_it_serves(port)
        kept = tmp_path / "jupyter_runtime_dir"
        os.killpg(course.pid, signal.SIGINT)
        with pytest.raises(subprocess.TimeoutExpired):
            course.wait(timeout=2)
        assert list(kept.glob("jpserver-*.json"))
        for _ in range(20):  # on a busy machine the first question may be over when the second Ctrl+C comes
            os.killpg(course.pid, signal.SIGINT)
            with contextlib.suppress(subprocess.TimeoutExpired):
                course.wait(timeout=4)
                break
        said = course.communicate(timeout=60)[0]
        assert course.returncode == 0, said
        assert not list(kept.glob("jpserver-*.json")), said
    finally:
        if course.poll() is None:
            _end(course.pid)
        os.close(terminal)
        os.close(theirs)


def _opened(folder: Path, stdin: int = subprocess.DEVNULL) -> tuple[subprocess.Popen[str], int]:
    """`phasorkit open` without a browser on a free port, in a group of processes of its own; and the port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "phasorkit", "open", "--no-browser", "--port", str(port)]
    quiet = os.environ | {name: str(folder / name.lower()) for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_RUNTIME_DIR")}
    course = subprocess.Popen(
        command, cwd=ROOT, env=quiet, stdin=stdin, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True, encoding="utf-8", start_new_session=True,
    )  # fmt: skip
    return course, port


def _wait_until_it_serves(port: int) -> None:
    for _ in range(600):
        with contextlib.suppress(OSError), urllib.request.urlopen(f"http://127.0.0.1:{port}/api", timeout=60):
            return
        time.sleep(0.1)
    raise AssertionError(f"nothing serves port {port}")


def _read_until(course: subprocess.Popen[str], wanted: str) -> None:
    """Read the lines that it prints until one has this in it."""
    watchdog = threading.Timer(300, _end, (course.pid,))
    watchdog.start()
    lines: list[str] = []
    while not re.search(wanted, "".join(lines)):
        line = course.stdout.readline()
        assert line, "".join(lines)
        lines.append(line)
    watchdog.cancel()


def _end(process: int) -> None:
    """End a process and all that it started."""
    for one in (*psutil.Process(process).children(recursive=True), psutil.Process(process)):
        one.kill()


def test_the_module_runs_like_the_command() -> None:
    """`python -m phasorkit` is the command; an unknown room ends with 2."""
    done = subprocess.run(
        [sys.executable, "-m", "phasorkit", "paint"],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        timeout=300,
    )
    assert done.returncode == 2
    assert "open" in done.stderr
