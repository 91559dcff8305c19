"""The group of the commands: what a command needs is loaded when that command is asked for."""

from __future__ import annotations

from importlib import import_module

import click

from tabtools.cli.exits import CommandGroup

MODULES = {
    "annotate": "showing",
    "apply": "applying",
    "bars": "renumbering",
    "blame": "versioning",
    "build": "making",
    "checks": "checking",
    "conflicts": "deciding",
    "diff": "comparing",
    "explain": "checking",
    "export": "exporting",
    "find": "finding",
    "format": "checking",
    "git": "versioning",
    "init": "making",
    "lint": "checking",
    "new": "making",
    "place": "placing",
    "review": "reviewing",
    "serve": "making",
    "show": "showing",
    "transpose": "transposing",
    "todo": "finishing",
}
"""Where each command is, within this folder. The module adds it to the group."""


class Commands(CommandGroup):
    """A group whose commands are loaded one by one, and all of them for its help."""

    group_class = CommandGroup

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(MODULES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name in MODULES:
            import_module(f"tabtools.cli.{MODULES[cmd_name]}")
        return super().get_command(ctx, cmd_name)
