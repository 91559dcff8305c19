"""Ctrl-C at any moment: one line, status 130, no traceback, and nothing half done."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from time import sleep

import pytest
from invoked import LOOSE, SOUND, write

ENVIRONMENT = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}

AT_AN_IMPORT = """\
import os, runpy, signal, sys
module = sys.argv.pop(1)

class Interrupt:
    def find_spec(self, name, path=None, target=None):
        if name == module:
            del sys.meta_path[0]
            os.kill(os.getpid(), signal.SIGINT)

sys.meta_path.insert(0, Interrupt())
runpy.run_module("tabtools", run_name="__main__", alter_sys=True)
"""
"""Runs tabtools, and interrupts it as the module named first is about to be imported."""

AT_A_CALL = """\
import importlib, os, runpy, signal, sys
module, name = sys.argv.pop(1).split(":")
holder = importlib.import_module(module)
*owners, name = name.split(".")
for owner in owners:
    holder = getattr(holder, owner)
real = getattr(holder, name)

def interrupted(*given, **named):
    setattr(holder, name, real)
    os.kill(os.getpid(), signal.SIGINT)
    return real(*given, **named)

setattr(holder, name, interrupted)
runpy.run_module("tabtools", run_name="__main__", alter_sys=True)
"""
"""Runs tabtools, and interrupts it as the function named first is called for the first time."""


def interrupted(program: str, *arguments: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-W", "error", "-P", "-c", program, *arguments],
        cwd=folder,
        env=ENVIRONMENT,
        capture_output=True,
        timeout=120,
        check=False,
    )


@pytest.mark.parametrize(
    "module",
    [
        "tabtools.cli",
        "click",
        "tabtools.checks",
        "lark",
        "tabtools.cli.process",
        "tabtools.linting",
        "tabtools.reports",
    ],
)
def test_while_it_starts(tmp_path: Path, module: str) -> None:
    write(tmp_path, dawn=SOUND)
    done = interrupted(AT_AN_IMPORT, module, "lint", "dawn.solo", folder=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"tabtools: interrupted\n")


@pytest.mark.parametrize("call", ["tabtools.writing:os.fsync", "tabtools.writing:_put", "tabtools.files:read_all"])
def test_while_it_works(tmp_path: Path, call: str) -> None:
    dawn, dusk = write(tmp_path, dawn=LOOSE, dusk=LOOSE)
    done = interrupted(AT_A_CALL, call, "format", ".", folder=tmp_path)
    assert (done.returncode, done.stderr) == (130, b"tabtools: interrupted\n")
    assert {dawn.read_text(encoding="utf-8"), dusk.read_text(encoding="utf-8")} <= {LOOSE, SOUND}
    assert sorted(tmp_path.iterdir()) == [dawn, dusk]


def test_while_many_work(tmp_path: Path) -> None:
    write(tmp_path, **{f"solo{number}": SOUND for number in range(40)})
    call = "concurrent.futures.process:ProcessPoolExecutor.map"
    done = interrupted(AT_A_CALL, call, "lint", ".", folder=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"tabtools: interrupted\n")


def test_where_interruptions_are_ignored_they_are(tmp_path: Path) -> None:
    """As a shell has it for what runs in the background."""
    write(tmp_path, dawn=SOUND)
    ignoring = f"import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)\n{AT_AN_IMPORT}"
    assert interrupted(ignoring, "tabtools.linting", "lint", "dawn.solo", folder=tmp_path).returncode == 0


def wait_until_it_waits(process: int) -> None:
    """Until a process does nothing but wait: what comes between a question and the wait for its answer gets lost."""
    quiet = 0
    while quiet < 5:
        sleep(0.02)
        state = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
        quiet = quiet + 1 if state == "S" else 0


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="nothing tells here what a process does")
@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        (b"\x03", 130, "tabtools: interrupted"),
        (b"\x04", 2, "tabtools: the input ended before the question was answered"),
    ],
    ids=["Ctrl-C", "Ctrl-D"],
)
def test_at_a_question(tmp_path: Path, typed: bytes, status: int, said: str) -> None:
    pty = pytest.importorskip("pty")
    process, terminal = pty.fork()
    if process == 0:
        os.chdir(tmp_path)
        os.execve(sys.executable, [sys.executable, "-W", "error", "-P", "-m", "tabtools", "new"], ENVIRONMENT)
    shown = b""
    while b"Title: " not in shown:
        shown += os.read(terminal, 1000)
    wait_until_it_waits(process)
    os.write(terminal, typed)
    with suppress(OSError):
        while more := os.read(terminal, 1000):
            shown += more
    os.close(terminal)
    assert os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == status
    assert shown.decode().splitlines()[-1] == said
    assert list(tmp_path.iterdir()) == []
