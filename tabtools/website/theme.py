"""The theme's own parts, mended: no question to another site, a name for every dialog, and search from a disk."""

from __future__ import annotations

WORKER = "assets/iframe-worker.js"
"""Loaded before the theme's script where a site is made to be read from a disk. The theme's plugin for that would load
a script of this name from elsewhere, unless there is one already."""

_LINK = 'class="md-source"'
_ASKS_THE_HOST = f'{_LINK} data-md-component="source"'
"""By this mark the theme asks the host of the repository how popular it is, which tells it of every reader."""

_SEARCH = 'data-md-component="search" role="dialog"'
_NAMED_SEARCH = f'{_SEARCH} aria-label="Search"'


def mended(html: str) -> str:
    """A page of the theme without its questions to a repository's host, its search dialog named."""
    return html.replace(_ASKS_THE_HOST, _LINK).replace(_SEARCH, _NAMED_SEARCH, 1)
