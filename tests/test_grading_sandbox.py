"""The sandbox, tried from inside: what a learner's cell cannot see, reach, take or leave behind."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest
from grading_runs import ROOT
from sandbox_runs import ROOMY, Ran, as_other_user, ran, require_sandbox

from phasorkit.course.grading import warm
from phasorkit.course.grading.inside import HALF
from phasorkit.course.grading.kernel import Kernels, Limits
from phasorkit.course.grading.watch import memory_of


@pytest.fixture(autouse=True, scope="module")
def _sandbox() -> None:
    require_sandbox()


def tried(*statements: str) -> dict[str, str]:
    """Each expression by itself in one cell; what it gave or raised, by expression."""
    each = "try: found[{0!r}] = repr(eval({0!r}))\nexcept BaseException as e: found[{0!r}] = type(e).__name__"
    start = ["import os, json, socket, ctypes, subprocess, pathlib", "found = {}"]
    cell = "\n".join([*start, *(each.format(s) for s in statements), "print(json.dumps(found))"])
    return dict(json.loads(ran(cell).text()))


def processes_with(mark: str) -> list[int]:
    """Processes of this machine whose command line holds a word."""
    found = []
    for file in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            if mark.encode() in file.read_bytes() and int(file.parent.name) != os.getpid():
                found.append(int(file.parent.name))
        except OSError:
            continue
    return found


# What can be seen and reached --------------------------------------------------------------------------------------


def test_there_is_no_network() -> None:
    """Not even to a server on the instructor's own machine, by address or by an abstract name."""
    with socket.create_server(("127.0.0.1", 0)) as server, socket.socket(socket.AF_UNIX) as hidden:
        hidden.bind("\0phasorkit-test-server")
        hidden.listen()
        port = server.getsockname()[1]
        socket.create_connection(("127.0.0.1", port), 2).close()
        found = tried(
            f"socket.create_connection(('127.0.0.1', {port}), 2)",
            "socket.create_connection(('192.0.2.1', 80), 2)",
            "socket.socket(socket.AF_UNIX).connect('\\0phasorkit-test-server')",
            "[name for _, name in socket.if_nameindex()]",
        )
    assert list(found.values())[:3] == ["OSError", "OSError", "ConnectionRefusedError"]
    assert list(found.values())[3] == "['lo']"


def test_course_class_and_home_are_not_there(tmp_path: Path) -> None:
    (tmp_path / "gradebook.db").write_bytes(b"marks")
    outside = [ROOT / "solutions", ROOT / "exercises", tmp_path, tmp_path / "gradebook.db", Path("/etc/passwd")]
    outside += [Path("/var"), Path("/sys"), Path("/boot"), Path.home() / ".bashrc", Path.home() / ".ssh"]
    assert all(place.exists() for place in outside[:6])
    found = tried(*(f"os.path.exists({str(place)!r})" for place in outside))
    assert set(found.values()) == {"False"}


def test_no_notebook_lies_anywhere_in_sight() -> None:
    """Neither solutions nor other submissions; what the system's and Python's libraries bring along is no concern."""
    cell = (
        "import os\n"
        "seen = []\n"
        "for folder, inner, names in os.walk('/'):\n"
        "    apart = {'/': ('proc', 'usr')}.get(folder, ()) + ('site-packages',)\n"
        "    inner[:] = [n for n in inner if n not in apart]\n"
        "    seen += [n for n in names if n.endswith(('.ipynb', '.db', '.csv'))]\n"
        "print(seen, os.path.exists('/usr/bin/env'))"
    )
    assert ran(cell).text() == "[] True"


def test_the_environment_tells_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PHASORKIT_TEST_SECRET", "x")
    names = set(json.loads(ran("import os, json\nprint(json.dumps(list(os.environ)))").text()))
    assert not {n for n in names if n in os.environ} - {"HOME", "PATH", "LANG", "USER", "LOGNAME", "PWD", "PYTHONPATH",
                                                        "PYTHONDONTWRITEBYTECODE", "PYTHONNOUSERSITE", "MPLBACKEND",
                                                        "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS",
                                                        "PAGER", "TERM"}  # fmt: skip


def test_other_processes_cannot_be_seen_through_or_stopped() -> None:
    """What runs around the kernel shows its number at most: no environment, memory or descriptors, no signal."""
    cell = (
        "import os, json\n"
        "found = []\n"
        "me = os.readlink('/proc/self')\n"
        "for p in [p for p in os.listdir('/proc') if p.isdigit() and p != me and p != '1']:\n"
        "    for what in ('environ', 'mem', 'maps', 'root', 'fd'):\n"
        "        try:\n"
        "            path = f'/proc/{p}/{what}'\n"
        "            found.append((p, what, len(os.listdir(path) if what in ('fd', 'root') else open(path).read(9))))\n"
        "        except OSError: pass\n"
        "    try: os.kill(int(p), 0); found.append((p, 'reached'))\n"
        "    except OSError: pass\n"
        "print(json.dumps(found), os.getpid())"
    )
    assert ran(cell).text() == "[] 1"


def test_nothing_outside_its_own_places_can_be_written() -> None:
    places = ("/x", "/usr/x", "/etc/x", "/dev/x", "/run/x", "/proc/sys/kernel/hostname", sys.prefix + "/x")
    found = tried(*(f"open({place!r}, 'w')" for place in places), "open('/tmp/work/x', 'w').write('yes')")
    assert list(found.values())[-1] == "3"
    assert set(list(found.values())[:-1]) <= {"OSError", "PermissionError", "FileNotFoundError"}


# What can be had -----------------------------------------------------------------------------------------------------


STATUS = (
    "wanted = ('Cap', 'NoNew', 'Seccomp:', 'Uid')\n"
    "print([line.split() for line in open('/proc/self/status') if line.startswith(wanted)])"
)


def require_powerless(text: str) -> None:
    """No capability in any set, no way to one, a filter of calls, and not root."""
    words = {name: values for name, *values in eval(text)}
    assert {v for name, values in words.items() if name.startswith("Cap") for v in values} == {"0" * 16}
    assert (words["NoNewPrivs:"], words["Seccomp:"]) == (["1"], ["2"])
    assert "0" not in words["Uid:"]


def test_a_kernel_has_no_power() -> None:
    require_powerless(ran(STATUS).text())


def test_new_namespaces_mounts_and_ways_around_the_limits_are_refused() -> None:
    found = tried(
        *(f"ctypes.CDLL(None, use_errno=True).unshare({flag})" for flag in (0x10000000, 0x20000, 0x40000000)),
        "ctypes.CDLL(None, use_errno=True).mount(b'x', b'/tmp', b'tmpfs', 0, None)",
        "ctypes.CDLL(None, use_errno=True).ptrace(0, 0, 0, 0)",
        "ctypes.CDLL(None, use_errno=True).shmget(0, 4096, 0o600)",
        "os.memfd_create('x')",
        "os.setuid(0)",
        "subprocess.run(['unshare', '-r', 'id'], capture_output=True).returncode",
        "os.chroot('/tmp')",
    )
    assert [v for v in found.values() if v not in ("-1", "PermissionError", "OSError", "1")] == []
    assert [found[s] for s in found if "CDLL" in s] == ["-1"] * 6


def test_temporary_space_is_private_and_has_a_cap() -> None:
    cell = (
        "import os\n"
        "print(os.listdir('/tmp/work'), os.listdir('/dev/shm'))\n"
        "open('/dev/shm/mine', 'w').write('x')\n"
        "total = 0\n"
        "try:\n"
        "    for k in range(200):\n"
        "        with open(f'file{k}', 'wb') as stream: total += stream.write(bytes(10**6))\n"
        "except OSError as error: print(error.strerror)\n"
        "print(50e6 < total < 67e6)"
    )
    for _ in range(2):
        assert ran(cell).text() == "[] []\nNo space left on device\nTrue"


def test_memory_of_one_process_has_a_cap() -> None:
    done = ran("x = 1", "big = bytearray(3 * 10**9)", "print(x)")
    assert done.cells[1].outputs[0].ename == "MemoryError"
    assert done.text() == "1"


def test_memory_of_all_processes_together_has_a_cap() -> None:
    cell = (
        "import os, time\n"
        "for _ in range(8):\n"
        "    if os.fork() == 0:\n"
        "        keep = bytearray(b'x') * (200 * 2**20)\n"
        "        time.sleep(600)\n"
        "time.sleep(600)"
    )
    done = ran(cell, "print(1)")
    assert done.flags == ["the notebook took more than 1000 MB of memory"]


def test_memory_shared_since_a_fork_counts_once() -> None:
    """Ten helpers that only read the 200 MB they were born with do not take 2 GB (`man 5 proc`: Pss)."""
    code = (
        "import os, time\n"
        "keep = bytearray(b'x') * (200 * 2**20)\n"
        "helpers = [os.fork() or time.sleep(60) for _ in range(10)]\n"
        "print('born', flush=True)\n"
        "time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, start_new_session=True) as parent:
        try:
            assert parent.stdout
            assert parent.stdout.readline() == b"born\n"
            used = memory_of(os.pidfd_open(parent.pid)) / 2**20
        finally:
            os.killpg(parent.pid, signal.SIGKILL)
    assert 200 < used < 300


def test_a_flood_of_processes_is_bounded_and_ends_with_the_notebook() -> None:
    cell = (
        "import os, time\n"
        "count = 0\n"
        "try:\n"
        "    while True:\n"
        "        if os.fork() == 0: time.sleep(1000)\n"
        "        count += 1\n"
        "except OSError as error: print(error.strerror, count < 30)"
    )
    done = ran(cell, limits=replace(ROOMY, memory_mb=8000))
    assert done.text() == "Resource temporarily unavailable True"
    assert done.flags == []  # and nobody waited for a process that sleeps on


def test_everything_a_notebook_started_ends_with_it() -> None:
    """Also what left its session, lost its parents and ignores signals."""
    mark = f"phasorkit-left-behind-{time.monotonic_ns()}"
    child = "import os, signal, time\nos.setsid()\nfirst = os.getpid()\nif os.fork(): os._exit(0)\n"
    child += "signal.signal(15, signal.SIG_IGN)\nwhile os.getppid() == first: time.sleep(0.01)\n"
    child += f"open('/tmp/alone', 'w').close()\ntime.sleep(600) # {mark}"
    cell = (
        "import subprocess, sys, time, glob\n"
        f"subprocess.Popen([sys.executable, '-c', {child!r}])\n"
        "while not glob.glob('/tmp/alone'): time.sleep(0.01)\n"
        f"print(len([f for f in glob.glob('/proc/[0-9]*/cmdline') if {mark!r} in open(f, errors='replace').read()]))"
    )
    assert ran(cell).text() == "1"
    assert processes_with(mark) == []


# Time and output ---------------------------------------------------------------------------------------------------


def test_a_cell_that_never_ends_is_interrupted_and_the_next_one_runs() -> None:
    done = ran("x = 1\nwhile True: pass", "print(x)", limits=Limits(1, 300))
    assert done.cells[0].outputs[-1].ename == "Timeout"
    assert done.text() == "1"
    assert done.flags == ["a cell was stopped after 1 s"]


@pytest.mark.parametrize(
    "cell",
    [
        "import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass",
        "import time\nwhile True:\n    try:\n        time.sleep(9)\n    except BaseException: pass",
        "sum(iter(int, 1))",
    ],
    ids=["ignores", "catches", "blocks"],
)
def test_a_cell_that_cannot_be_interrupted_is_ended(cell: str) -> None:
    done = ran(cell, "print(1)", limits=Limits(1, 300))
    assert done.flags == ["a cell ran longer than 1 s and could not be interrupted"]
    assert done.cells[1].outputs[0].ename == "NotRun"


@pytest.mark.parametrize(
    "cell", ["import os\nos._exit(3)", "exit()\nimport os\nos.abort()", "import os, signal\nos.kill(0, 9)"]
)
def test_a_kernel_that_ends_itself_is_told(cell: str) -> None:
    done = ran(cell, "print(1)")
    assert done.text() in ("the notebook ended its own kernel", "1")  # the first of its processes can refuse signal 9
    assert done.seconds < ROOMY.cell_seconds  # seen at once, not by waiting


@pytest.mark.parametrize(
    "cell",
    [
        "while True: print('x' * 99)",
        "print('x' * 10**8)",
        "import sys\nfor k in range(10**7): sys.stderr.write('é' * 99)",
    ],
)
def test_a_flood_of_output_is_cut_and_costs_nobody_else_anything(cell: str) -> None:
    done = ran(cell, "print(1)", limits=Limits(2, 300))
    assert done.text() == "1"
    assert 100_000 < sum(len(o.get("text", "")) for o in done.cells[0].outputs) < 400_000
    assert "was left out" in done.text(0)


def test_pictures_without_end_are_cut() -> None:
    cell = "from IPython.display import display\nwhile True: display({'image/png': 'x' * 10**6}, raw=True)"
    done = ran(cell, "print(1)", limits=Limits(60, 300))
    assert done.flags == ["the notebook printed more than 64 MB"]
    assert sum(len(str(o)) for o in done.cells[0].outputs) < 9_000_000


# A learner who knows the protocol -------------------------------------------------------------------------------------


FIND_LINE = (
    "import os\n"
    "def kind(f):\n"
    "    try: return os.readlink(f'/proc/self/fd/{f}')\n"
    "    except OSError: return ''\n"
    "line = [int(f) for f in os.listdir('/proc/self/fd') if kind(f).startswith('socket')][0]\n"
)


@pytest.mark.parametrize(
    "forged",
    [
        "os.write(line, b'\\xff' * 64)",
        "os.write(line, b'\\x00\\x00\\x00\\x05{bad}')",
        "os.write(line, b'\\x00\\x00\\x00\\x02[]')",
        "os.write(line, b'\\x00\\x00\\x00\\x7f' + b'[' * 127)",
        "os.close(line)",
        "os.write(line, b'\\x00\\x00\\x01\\x00')",
    ],
)
def test_bytes_that_are_no_message_end_the_kernel_and_nothing_else(forged: str) -> None:
    done = ran(FIND_LINE + forged + "\nimport time\ntime.sleep(600)", "print(1)", limits=Limits(1, 300))
    assert done.cells[1].outputs[0].ename == "NotRun"
    assert done.seconds < 300


def test_a_message_that_trickles_in_holds_up_nobody() -> None:
    """A byte now and then keeps a line busy; the cell's time and the grace after it are over all the same."""
    drip = "import signal, struct, time\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\n"
    drip += "os.write(line, struct.pack('!I', 600))\n"
    drip += "for _ in range(600):\n    os.write(line, b' ')\n    time.sleep(0.5)"
    done = ran(FIND_LINE + drip, "print(1)", limits=Limits(1, 300))
    assert done.flags == ["a cell ran longer than 1 s and could not be interrupted"]
    assert done.seconds < 250  # it would drip for 300


def test_memory_is_watched_while_a_notebook_talks_without_a_pause() -> None:
    grow = (
        "import os, time\nfor _ in range(8):\n    if os.fork() == 0:\n        keep = bytearray(b'x') * (200 * 2**20)\n"
    )
    grow += "        time.sleep(600)\n"
    talk = "import json, struct\nb = json.dumps({'shows': 'nothing'}).encode()\n"
    talk += "while True:\n    os.write(line, struct.pack('!I', len(b)) + b)\n    time.sleep(0.01)"
    assert ran(grow + FIND_LINE + talk).flags == ["the notebook took more than 1000 MB of memory"]


def test_forged_outputs_are_outputs_of_a_known_form_or_none() -> None:
    cell = FIND_LINE + (
        "import json, struct\n"
        "def say(m):\n    b = json.dumps(m).encode(); os.write(line, struct.pack('!I', len(b)) + b)\n"
        "say({'shows': 'stream', 'content': {'name': 'stdin', 'text': 'x'}})\n"
        "say({'shows': 'stream', 'content': {'name': 'stdout', 'text': ['x']}})\n"
        "say({'shows': 'error', 'content': {'ename': 1, 'evalue': '', 'traceback': []}})\n"
        "say({'shows': 'display_data', 'content': {'data': {'text/html; x': 'x', 'text/plain': 7, 'a/b': 'kept'}}})\n"
        "say({'shows': ['display_data'], 'content': None})\n"
        "say({'shows': 'comm_open', 'content': {'data': {'text/plain': 'x'}}})\n"
        "say({'shows': 'stream', 'content': {'name': 'stdout', 'text': 'last'}})\n"
    )
    outputs = ran(cell).cells[0].outputs
    assert [o.output_type for o in outputs] == ["display_data", "stream"]
    assert set(outputs[0].data) == {"text/plain"}
    assert outputs[0].data["text/plain"] != "x"
    assert outputs[1].text == "last"


# A kernel like any other -------------------------------------------------------------------------------------------


CELLS = (
    "import numpy as np, matplotlib.pyplot as plt\nfig, ax = plt.subplots()\nax.plot([1, 2])",
    "x = 3\nx",
    "from IPython.display import display, clear_output\nprint('gone')\nclear_output()\n"
    "d = display('a', display_id=True)\nd.update('b')",
    "1 / 0",
    "import asyncio\nawait asyncio.sleep(0)\nprint(_ + 1, In[2])",
    "%%time\ny = 1",
    "!echo from a program",
    "input('?')",
    "import phasorkit.nothing",
)  # fmt: skip


def shapes(done: Ran) -> list[list[tuple[str, list[str]]]]:
    """Kinds of outputs cell by cell, with what they hold."""
    return [
        [(o.output_type, sorted(o.get("data", {})) or [str(o.get("name") or o.get("ename"))]) for o in c.outputs]
        for c in done.cells
    ]


@pytest.mark.parametrize("kernels", [Kernels.SANDBOX, Kernels.FORKED])
def test_cells_show_what_they_show_in_an_ordinary_kernel(kernels: Kernels) -> None:
    ours, fresh = ran(*CELLS, kernels=kernels), ran(*CELLS, kernels=Kernels.FRESH, limits=Limits(60, 300))
    mine, theirs = shapes(ours), shapes(fresh)
    assert mine[7][0][0] == theirs[7][0][0] == "error"
    assert mine[:7] + mine[8:] == theirs[:7] + theirs[8:]
    assert (mine[0][1], ours.text(4)) == (("display_data", ["image/png", "text/plain"]), "4 x = 3\nx")
    assert [c.execution_count for c in ours.cells] == list(range(1, len(CELLS) + 1))


def test_one_notebook_leaves_nothing_to_the_next() -> None:
    """Neither names, nor changed modules, nor the state of numpy's generator."""
    change = "import numpy, math, builtins\nmath.pi = 3\nbuiltins.len = None\nmine = 1\nprint(numpy.random.rand())"
    look = "import numpy, math\nprint('mine' in globals(), math.pi > 3, len('ab'))\nprint(numpy.random.rand())"
    first, second, third = ran(change), ran(look), ran(look)
    assert second.text().splitlines()[0] == "False True 2"
    assert len({first.text(), second.text().splitlines()[1], third.text().splitlines()[1]}) == 3


# As root and as an ordinary user, and where there is none ------------------------------------------------------------

WRITABLE = "import os\nprint([n for n in ('/', '/dev', '/usr', '/etc', '/run', '/tmp') if os.access(n, os.W_OK)])"


def test_it_stands_for_an_ordinary_user_too() -> None:
    """Started by root, it is tried for an ordinary user here; started by one, all tests above are that."""
    if os.getuid() != 0:
        require_powerless(ran(STATUS).text())
        return
    program = (
        "import sys; sys.path.insert(0, 'tests')\n"
        "from sandbox_runs import ran\nimport os\n"
        f"assert os.getuid() == 1000\nprint(ran({STATUS!r}).text())\nprint(ran({WRITABLE!r}).text())"
    )
    done = as_other_user([sys.executable, "-c", program], ROOT)
    assert done.returncode == 0, done.stderr
    status, writable = done.stdout.strip().splitlines()
    require_powerless(status)
    assert writable == "['/tmp']"


def test_where_walls_cannot_be_nested_each_kernel_has_a_frame_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Some systems let the sandbox be made but nothing be made inside it: slower, and as tight."""
    monkeypatch.setattr(warm, "usable_walls", lambda: HALF)
    require_powerless(ran(STATUS).text())
    assert ran(WRITABLE).text() == "['/tmp']"
    mark = f"phasorkit-left-behind-{time.monotonic_ns()}"
    busy = f"mine = bytearray(40_000_000)\nwhile 1: pass # {mark}"  # its memory takes time to give back
    start = f"import subprocess, sys\nfor _ in range(8): subprocess.Popen([sys.executable, '-c', {busy!r}])"
    assert ran(start, "import time\ntime.sleep(1)").cells
    assert processes_with(mark) == []


@pytest.fixture
def command(tmp_path: Path) -> list[str]:
    """The command that grades one blank notebook."""
    file = tmp_path / "inbox" / "app-01" / "bridge.ipynb"
    file.parent.mkdir(parents=True)
    file.write_bytes((ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes())
    words = ["-m", "phasorkit", "grade", str(tmp_path / "inbox"), "--class-folder", str(tmp_path / "class")]
    return [sys.executable, *words, "--workers", "1"]


def said(command: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)


def test_without_a_sandbox_one_sentence_says_so_and_nothing_runs(command: list[str], tmp_path: Path) -> None:
    """The program that makes it is hidden from the command."""
    hidden = ["bwrap", "--dev-bind", "/", "/", "--ro-bind", "/dev/null", os.path.realpath("/usr/bin/bwrap"), "--"]
    done = said([*hidden, *command])
    assert done.returncode == 2
    why = r"phasorkit grade: There is no sandbox here \(.*not installed\)\. Grading would run .*\n"
    assert re.fullmatch(why, done.stderr)
    assert not (tmp_path / "class").exists()
    done = said([*hidden, *command, "--trust-learners"])
    assert "runs without a sandbox" in done.stdout
    assert (tmp_path / "class" / "grades.csv").exists()


def test_it_is_used_wherever_it_is_there(command: list[str]) -> None:
    """The flag to trust learners does not switch it off."""
    assert "runs in a sandbox" in said([*command, "--trust-learners"]).stdout
