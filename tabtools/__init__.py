"""Guitar solos as plain text: checked, annotated, reviewed, published.

The data's way through the package is its layout: `source` (text and places) → `model` (what a solo is) →
`notation` (text to model and back) → `timeline` (exact time and sounding pitch) → `harmony` and `hand` →
`checks` and `study` → `reports` and `website`. `cli` is the only part that prints, exits or writes files.
"""

__version__ = "0.1.0"
