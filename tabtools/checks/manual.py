"""The manual page of a check, as it is shown: its docstring."""

from __future__ import annotations

import re
from types import ModuleType

from tabtools.problem import Severity

_REMARKED = {"Passes": "Nothing is said here", "Fails": "A remark is made here"}
"""Headings of examples for checks that only remark on something: nothing fails."""


def manual_of(check: ModuleType) -> str:
    """The docstring of a check; of one that only remarks on something without talk of failing."""
    page = check.__doc__ or ""
    if check.SEVERITY is not Severity.NOTE:
        return page
    return re.sub(r"^(Passes|Fails)\b", lambda found: _REMARKED[found[1]], page, flags=re.MULTILINE)
