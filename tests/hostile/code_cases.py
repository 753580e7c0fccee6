"""Cases whose code is hostile: it runs for ever, takes what it can get, breaks out, or forges marks."""

from __future__ import annotations

from cases import CELL_SECONDS, CHECKS, FIRST_TWO, NONE, TOTAL_SECONDS, Case, answering, extra

LONG = TOTAL_SECONDS + 60.0
ENDED = "the notebook ended its own kernel"
STOPPED = f"a cell was stopped after {CELL_SECONDS} s"

TIME = (
    extra("loop", "an endless loop", "while True: pass", says=STOPPED, seconds=LONG),
    extra(
        "loop-deaf", "an endless loop that ignores being interrupted",
        "import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass",
        points=FIRST_TWO, says="could not be interrupted", seconds=LONG,
    ),
    extra(
        "loop-catching", "an endless loop that catches every exception",
        "import time\nwhile True:\n    try: time.sleep(1)\n    except BaseException: pass",
        points=FIRST_TWO, says="could not be interrupted", seconds=LONG,
    ),
    extra("sleep", "sleeps for eleven days", "import time\ntime.sleep(1e6)", says=STOPPED, seconds=LONG),
    extra(
        "slow-in-c", "a computation inside a library that cannot be interrupted",
        "import itertools\nsum(itertools.repeat(0))", points=FIRST_TWO, says="could not be interrupted", seconds=LONG,
    ),
    extra(
        "trickle", "keeps the grader's line busy with a byte now and then",
        "import os, signal, struct, time\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "def kind(f):\n    try: return os.readlink(f'/proc/self/fd/{f}')\n    except OSError: return ''\n"
        "line = [int(f) for f in os.listdir('/proc/self/fd') if kind(f).startswith('socket')][0]\n"
        "os.write(line, struct.pack('!I', 600))\n"
        "for _ in range(600):\n    os.write(line, b' ')\n    time.sleep(0.5)",
        points=FIRST_TWO, says="could not be interrupted", seconds=LONG,
    ),
    extra("input", "asks a question that nobody answers", "answer = input('your id? ')"),
    extra("breakpoint", "opens a debugger", "breakpoint()", seconds=LONG),
    extra("exit-os", "ends the process", "import os\nos._exit(0)", points=FIRST_TWO, says=ENDED),
    extra("exit-sys", "raises SystemExit", "import sys\nsys.exit(3)"),
    extra("exit-quit", "calls quit()", "quit()"),
    extra("kill-self", "sends itself the signal that ends processes", "import os\nos.kill(os.getpid(), 9)"),
    extra(
        "crash", "crashes the interpreter by reading address 0", "import ctypes\nctypes.string_at(0)",
        points=FIRST_TWO, says=ENDED,
    ),
    extra(
        "recursion", "recursion without end and without a limit",
        "import sys\nsys.setrecursionlimit(10**9)\nf = lambda n: sorted([n], key=f)\nf(0)",
        points=FIRST_TWO, says=ENDED,
    ),
    extra("raises-all", "raises what no handler expects", "class E(BaseException): pass\nraise E()"),
)  # fmt: skip

AMOUNTS = (
    extra("memory-at-once", "takes ten gigabytes at once", "try: x = bytearray(10**10)\nexcept MemoryError: pass"),
    extra(
        "memory-slowly", "takes memory bit by bit, three gigabytes in all",
        "kept = []\ntry:\n    for n in range(300): kept.append(b'x' * 10_000_000)\nexcept MemoryError: pass\n"
        "finally: kept.clear()",
        also=FIRST_TWO, seconds=LONG,
    ),
    extra(
        "forks", "starts process after process",
        "import os\nfor n in range(300):\n    try:\n"
        "        if os.fork() == 0: os.execv('/bin/sleep', ['sleep', '60'])\n"
        "    except OSError: break",
        seconds=LONG,
    ),
    extra(
        "threads", "starts five thousand threads",
        "import threading, time\ntry:\n    for n in range(5000):\n"
        "        threading.Thread(target=time.sleep, args=(60,), daemon=True).start()\n"
        "except (RuntimeError, MemoryError): pass",
        seconds=LONG,
    ),
    extra("output-lines", "prints lines without end", "while True: print('x' * 1000)", says=STOPPED, seconds=LONG),
    extra("output-one-line", "prints one line of a hundred megabytes", "print('x' * 10**8)", seconds=LONG),
    extra(
        "output-displays", "shows outputs without end",
        "from IPython.display import display\nwhile True: display(1)", says=STOPPED, seconds=LONG,
    ),
    extra(
        "output-picture", "shows a picture of forty megabytes",
        "from IPython.display import display\ndisplay({'image/png': 'A' * 40_000_000}, raw=True)", seconds=LONG,
    ),
    extra(
        "disk", "fills the disk with three hundred megabytes",
        "try:\n    for n in range(30): open(f'/tmp/fill{n}', 'wb').write(b'x' * 10_000_000)\nexcept OSError: pass",
        seconds=LONG,
    ),
    extra(
        "files", "makes a hundred thousand empty files",
        "try:\n    for n in range(100_000): open(f'/tmp/many{n}', 'w').close()\nexcept OSError: pass", seconds=LONG,
    ),
)  # fmt: skip

_READ = """
import glob, os
found = []
for pattern in ({patterns}):
    for name in glob.glob(pattern, recursive=True):
        try:
            if os.path.isfile(name): found.append(open(name, 'rb').read(200))
        except OSError: pass
print('LEAK' + 'ED' if found else 'nothing')
"""


def reading(name: str, tries: str, *patterns: str) -> Case:
    """A case that looks for files and prints a word when it can read one."""
    return extra(name, tries, _READ.format(patterns="".join(f"{p!r}, " for p in patterns)))


OUT = (
    reading("read-solutions", "reads the solutions", "<course>/solutions/*/*", "/run/*/solutions/*/*"),
    reading("read-others", "reads other learners' work", "<inbox>/*", "<class_folder>/**/*"),
    reading("read-gradebook", "reads the gradebook", "<class_folder>/gradebook.db"),
    reading("read-by-proc", "reads through other processes' view of the disk",
            "/proc/*/root<course>/solutions/*/*", "/proc/*/cwd/*.py", "/proc/1/root<inbox>/*"),
    reading("read-home", "reads keys and passwords", "/root/.*", "/home/*/.*", "/etc/shadow", "/etc/passwd"),
    extra(
        "environment", "looks for secrets in the environment",
        "import os\nprint('LEAK' + 'ED' if 'PHASORKIT_TEST_SECRET' in os.environ else 'nothing')",
    ),
    extra(
        "delete-files", "deletes files of the instructor",
        "import shutil, os\nshutil.rmtree('<canary>', ignore_errors=True)\n"
        "try: os.remove('<class_folder>/gradebook.db')\nexcept OSError: pass",
    ),
    extra(
        "shell", "deletes by a shell command",
        "!rm -rf <canary>/*\nimport os, subprocess\nos.system('rm -rf <canary>/*')\n"
        "r = subprocess.run(['/bin/sh', '-c', 'rm -rf <canary>/*'])",
    ),
    extra(
        "write-grades", "writes itself marks into the gradebook",
        "import sqlite3\ntry:\n    b = sqlite3.connect('<class_folder>/gradebook.db')\n"
        "    b.execute('update grade set manual_score = 5'); b.commit()\nexcept Exception: pass",
    ),
    extra(
        "write-course", "puts a file into the course and beside the package",
        "import phasorkit, os\nfor place in ('<course>', '<inbox>', os.path.dirname(phasorkit.__file__)):\n"
        "    try: open(place + '/hostile-was-here.py', 'w').close()\n    except OSError: pass",
    ),
    extra(
        "network", "calls a server on the instructor's machine and one outside",
        "import socket\nfor place in (('127.0.0.1', <port>), ('192.0.2.1', 80)):\n"
        "    try: socket.create_connection(place, 1); print('LEAK' + 'ED')\n    except OSError: pass",
    ),
    extra(
        "outlive", "leaves a process behind that goes on by itself",
        "import subprocess\np = subprocess.Popen(['sleep', '98765.4321'], start_new_session=True)",
    ),
    extra(
        "kill-parent", "kills the process that started it",
        "import os\nfor n in (os.getppid(), 1):\n    try: n > 1 and os.kill(n, 9)\n    except OSError: pass",
    ),
    extra(
        "descriptors", "reads and writes every open file it inherited",
        "import os\nfor n in range(3, 200):\n    try: os.write(n, b'{\"done\": true}')\n    except OSError: pass",
        points=FIRST_TWO, says=ENDED,
    ),
)  # fmt: skip

_EQUAL = (
    "class E:\n    def __eq__(self, other): return True\n    __float__ = __abs__ = __sub__ = lambda *a: 0.0\n"
    "    __hash__ = None\n    def keys(self): return ['123']\n    __getitem__ = lambda self, k: E()\n"
)
_EVIL_FLOAT = (
    "class F(float):\n    def __eq__(self, o): return True\n    def __sub__(self, o): return 0.0\n"
    "    __rsub__ = __sub__\n    def __le__(self, o): return True\n    __lt__ = __ge__ = __gt__ = __le__\n"
    "    def __float__(self): raise SystemExit\n    def __repr__(self): return '3.0'\n"
)
_BLANK = {check: f"{check} = None" for check in CHECKS}

FORGED = (
    answering("equal-to-all", "answers with objects that equal everything",
              {check: f"{_EQUAL}{check} = E()" for check in CHECKS}, NONE),
    answering("float-in-disguise", "answers with a number whose comparisons always agree",
              {check: f"{_EVIL_FLOAT}{check} = F(1.0)" for check in CHECKS}, NONE),
    answering("patch-check", "replaces the check by one that gives full marks",
              _BLANK, NONE, before="check = lambda name: 3.0\nimport phasorkit.course\nphasorkit.course.check = check"),
    answering("patch-judge", "replaces the marking inside the package",
              _BLANK, NONE,
              before="import phasorkit.course.model as m, phasorkit.course.notebook as n\n"
              "m.judge = n.judge = n._check = lambda *a: m.Mark(5.0, 5.0, 'all right', outcome='right')"),
    answering("patch-reader", "replaces the function that hands answers over by one that hands over nonsense",
              _BLANK, NONE,
              before="import phasorkit.course.grading.reader as r\nr.hand_over = lambda name: '{\"points\": 5}'",
              says="the begin cell gave no learner id"),
    answering("prints-marks", "prints what a full mark looks like",
              {check: f"{check} = None\nprint('{check}: 3 of 3 marks. Right.')\n3.0" for check in CHECKS}, NONE),
    answering("strange-numbers", "answers NaN, infinity, complex, an endless number, a list, a bool",
              {"reactance": "reactance = float('nan')", "resistance": "resistance = float('inf')",
               "preferred": "preferred = 3 + 4j", "volts": "volts = [1e999, float('nan')]",
               "power": "power = 10 ** 4000", "residual": "residual = True"}, NONE),
    answering("strange-texts", "answers with markup, code, ten million letters, half a character",
              {"reactance": "reactance = '<script>alert(1)</script>'",
               "resistance": "resistance = '__import__(\"os\").system(\"id\")'",
               "preferred": "preferred = 'x' * 10**7", "volts": "volts = {'123': {'R1': '1e400 V'}}",
               "power": "power = '\\ud800 W'", "residual": "residual = '9' * 1900 + ' V'"}, NONE),
    answering("strange-objects", "answers with itself inside itself, a module, a generator, an array of objects",
              {"reactance": "reactance = []\nreactance.append(reactance)", "resistance": "import sys\nresistance = sys",
               "preferred": "preferred = (n for n in range(3))",
               "volts": "volts = {'123': {'R1': None}}\nvolts['123']['R1'] = volts", "power": "power = lambda: 3",
               "residual": "import numpy as np\nresidual = np.array([object()])"}, NONE),
    extra("patch-numpy", "breaks numpy, which its sixth answer needs",
          "import numpy as np\nnp.sqrt = np.abs = np.isclose = np.array = lambda *a, **k: True\n"
          "np.ndarray = np.float64 = bool", points=(3.0, 3.0, 2.0, 5.0, 3.0, 0.0)),
    extra("patch-builtins", "breaks the built-in functions",
          "import builtins\nfor n in ('abs', 'float', 'isinstance', 'print', 'repr'):\n"
          "    setattr(builtins, n, lambda *a, **k: True)", points=FIRST_TWO, says=ENDED),
    extra("shadow", "uses the course's own names for its own things",
          "print = str = check = repr = dict = None\nbegin = 3"),
    extra("stdout", "takes away the standard output",
          "import os, sys\nsys.stdout = sys.stderr = None\nos.close(1); os.close(2)", points=FIRST_TWO, says=ENDED),
    extra("hooks", "leaves hooks behind that run at every line and at the end",
          "import atexit\natexit.register(lambda: 1 / 0)\n"
          "get_ipython().events.register('post_run_cell', lambda *a: 1 / 0)"),
    extra("frees-session", "wipes the notebook's namespace, the course's own entry too", "globals().clear()",
          points=FIRST_TWO, says="the begin cell gave no learner id"),
    extra("begin-again", "begins again as another learner half-way; what follows follows",
          "from phasorkit.course import begin\nbrief = begin('bridge', learner='good-1', class_code='PUMP-24')",
          points=(3.0, 3.0, 0.0, 5.0, 0.0, 4.0), says="the begin cell says learner 'good-1'"),
    extra("warnings", "warns on the error stream",
          "import sys, warnings\nwarnings.warn('careful')\nprint('x', file=sys.stderr)"),
)  # fmt: skip

CODE_CASES = (*TIME, *AMOUNTS, *OUT, *FORGED)
