"""The first moments of a process: `python -m tabtools`, and the command `tabtools`.

Nothing is imported here that takes time, so that Ctrl-C finds somebody to answer it while all else is.
"""

from __future__ import annotations

import gc
import os
import signal
from contextlib import suppress
from typing import NoReturn


def run() -> NoReturn:
    """Run a command. Loading it makes many objects that stay: no time is spent on looking for garbage among them."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _leave)
    gc.disable()
    from tabtools.cli.process import run as run_command

    run_command()


def _leave(*_: object) -> NoReturn:
    """Nothing has begun yet, so there is nothing to tidy up."""
    with suppress(OSError):
        os.write(2, b"tabtools: interrupted\n")
    os._exit(130)


if __name__ == "__main__":
    run()
