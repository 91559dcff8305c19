"""MusicXML as one compressed file, `.mxl`: a ZIP archive of the document and a table of contents.

Source: MusicXML 4.0, compressed files and the schema `container.xsd`.
"""

from __future__ import annotations

from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

_TYPE = "application/vnd.recordare.musicxml"
_NAME = "score.musicxml"
_CONTENTS = f"""<?xml version="1.0" encoding="UTF-8"?>
<container>
 <rootfiles>
  <rootfile full-path="{_NAME}" media-type="{_TYPE}+xml" />
 </rootfiles>
</container>
"""


def compressed(document: str) -> bytes:
    """A MusicXML document as a compressed file: the same bytes for the same document."""
    archive = BytesIO()
    with ZipFile(archive, "w") as files:
        files.writestr(ZipInfo("mimetype"), _TYPE, ZIP_STORED)
        files.writestr(ZipInfo("META-INF/container.xml"), _CONTENTS, ZIP_DEFLATED)
        files.writestr(ZipInfo(_NAME), document, ZIP_DEFLATED)
    return archive.getvalue()
