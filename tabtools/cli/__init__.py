"""The commands. The only place that prints, exits or writes files."""

from tabtools.cli.base import main

__all__ = ["main"]
