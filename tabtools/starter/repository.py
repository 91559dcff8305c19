"""A new repository: the files `tabtools init` writes."""

from __future__ import annotations

from importlib.resources import files

CARD = "site_docs/format-card.md"
"""The page with all signs."""
NAMES = (
    ".gitattributes",
    ".gitignore",
    "mkdocs.yml",
    "pyproject.toml",
    "site_docs/index.md",
    CARD,
    "transcriptions/first-light.solo",
    "transcriptions/first-light.md",
)


def starter_files() -> dict[str, str]:
    """File name, relative to the new repository, to its text."""
    folder = files(__package__).joinpath("template")
    return {name: folder.joinpath(_stored(name)).read_text(encoding="utf-8") for name in NAMES}


def _stored(name: str) -> str:
    """Dotfiles and the settings are kept under plain names, so that no tool takes them for its own."""
    return {
        ".gitattributes": "gitattributes.txt",
        ".gitignore": "gitignore.txt",
        "pyproject.toml": "pyproject.txt",
    }.get(name, name)
