"""The command: `tabtools`, and `python -m tabtools`."""

from __future__ import annotations

import gc


def run() -> None:
    """Run a command. Loading it makes many objects that stay: no time is spent on looking for garbage among them."""
    gc.disable()
    from tabtools.cli import main

    main(prog_name="tabtools")


if __name__ == "__main__":
    run()
