"""Where results are kept for this user."""

from __future__ import annotations

from pathlib import Path

import platformdirs

DAYS = 90
"""Results that nobody asked for in so many days are forgotten."""


def users_folder() -> Path | None:
    """The folder, which may not be there yet; None where the user has none."""
    folder = platformdirs.user_cache_path("tabtools")
    return folder if folder.is_absolute() else None
