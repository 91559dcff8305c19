"""Guitar solos as plain text: checked, annotated, reviewed, published.

The data's way through the package is its layout: `source` (text and places) → `model` (what a solo is) →
`notation` (text to model and back) → `timeline` (exact time and sounding pitch) → `harmony` and `hand` →
`checks` and `study` → `reports` and `website`. `cli` is the only part that prints, exits or writes files.

Programs call `tabtools.read`, `tabtools.lint` and `tabtools.annotate`; `api` says what they do.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tabtools.api import (
        AnnotatedNote,
        Annotation,
        DegreeStyle,
        Device,
        Header,
        MissingPathError,
        OpenPart,
        PlacedProblem,
        Problem,
        Reading,
        Role,
        Severity,
        Solo,
        Source,
        SourceError,
        SourceText,
        UnknownCheckError,
        annotate,
        from_text,
        lint,
        read,
    )

__version__ = "0.1.0"

__all__ = [
    "AnnotatedNote",
    "Annotation",
    "DegreeStyle",
    "Device",
    "Header",
    "MissingPathError",
    "OpenPart",
    "PlacedProblem",
    "Problem",
    "Reading",
    "Role",
    "Severity",
    "Solo",
    "Source",
    "SourceError",
    "SourceText",
    "UnknownCheckError",
    "__version__",
    "annotate",
    "from_text",
    "lint",
    "read",
]


def __getattr__(name: str) -> object:
    """What programs call is loaded when it is first asked for: commands start without it."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from tabtools import api

    return getattr(api, name)
