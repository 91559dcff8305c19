"""Files that the plugin adds to those of the site."""

from __future__ import annotations

from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File


def generated(config: MkDocsConfig, uri: str, content: str, source: str = "") -> File:
    """A file with this content, made from `source`, or from all that the settings name; ours at whatever moment.

    Plugins that look up a page's past, or take every file for one on the disk, find there what the page is made from.
    """
    file = File.generated(config, uri, content=content)
    file.generated_by = "tabtools"
    file.abs_src_path = str(Path(source).resolve()) if source else config.config_file_path
    return file


def written(config: MkDocsConfig, uri: str, content: bytes) -> File:
    """A file put into the site at once: those of many solos would fill the memory."""
    path = Path(config.site_dir, uri)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return File.generated(config, uri, abs_src_path=str(path))
