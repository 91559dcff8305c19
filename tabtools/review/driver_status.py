"""How the merge driver ends, as the shell that git runs it in is told."""

from __future__ import annotations

GAVE_UP = 3
"""Nothing was written."""
CONFLICTS = 10
"""Conflicts were left between markers. Python itself ends with 1 when a module is missing or a program breaks off, so 1
must not mean that."""
