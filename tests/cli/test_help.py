"""Every command explains itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from click import Context
from invoked import tabtools

from tabtools.cli import main
from tabtools.cli.commands import MODULES

COMMANDS = sorted(MODULES)
ISSUED = {"lint", "format", "annotate", "show", "new", "init", "explain", "checks", "build", "serve"}


def test_the_commands_are_there() -> None:
    assert set(COMMANDS) >= ISSUED


def test_every_module_says_which_commands_it_has(folder: Path) -> None:
    """A command that its module did not register under its name would not be found; one that is not named, neither."""
    for command, module in MODULES.items():
        assert main.get_command(Context(main), command) is not None
        assert main.commands[command].callback.__module__ == f"tabtools.cli.{module}"
    assert sorted(main.commands) == COMMANDS


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_has_an_example_and_fits_a_terminal(folder: Path, command: str, option: str) -> None:
    status, out, err = tabtools(command, option)
    assert (status, err) == (0, "")
    assert f"Example:\n    tabtools {command}" in out
    assert max(map(len, out.splitlines())) <= 80
    assert "<=x" not in out


def test_help_of_the_whole(folder: Path) -> None:
    status, out, _ = tabtools("--help")
    assert status == 0
    assert "Example:\n    tabtools lint" in out
    assert max(map(len, out.splitlines())) <= 80
    for command in COMMANDS:
        assert f"\n  {command} " in out


@pytest.mark.parametrize("command", COMMANDS)
def test_options_that_do_not_exist(folder: Path, command: str) -> None:
    status, out, err = tabtools(command, "--no-such-option")
    assert (status, out) == (2, "")
    assert "has no option" in err
    assert "--no-such-option" in err
