"""What a check reports: plain data, one record that feeds every output."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tabtools.source import Span


class Severity(StrEnum):
    """How much a finding matters: an error stops publishing, a warning wants a look, a note informs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding.

    `check` is the readable name that `tabtools explain` knows; `path` and `span` are the place in the text;
    `address` is the place in the music (`5.2.3`), empty for the header or the file as a whole.
    """

    check: str
    severity: Severity
    path: str
    span: Span
    message: str
    advice: str = ""
    address: str = ""
