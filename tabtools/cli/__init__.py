"""The commands. The only place that prints, exits or writes files."""

from tabtools.cli import checking, comparing, exporting, finding, making, reviewing, showing, versioning
from tabtools.cli.base import main

__all__ = ["checking", "comparing", "exporting", "finding", "main", "making", "reviewing", "showing", "versioning"]
