"""What a page says on paper alone: the title at the head of every sheet but the first."""

from __future__ import annotations

from markupsafe import Markup

from tabtools.website.markup import html


def running_title(title: str) -> Markup:
    """The rule that prints a title over every sheet after the first, whatever signs it is made of."""
    return html(
        '<style media="print">@page{{@top-left{{color:#444;content:"{title}";font:8pt sans-serif}}}}'
        '@page:first{{@top-left{{content:""}}}}</style>',
        title=_in_css(title),
    )


def _in_css(text: str) -> str:
    """Text within the quotation marks of a style sheet, every sign that is no letter or figure by its number."""
    return "".join(one if one.isascii() and one.isalnum() else f"\\{ord(one):x} " for one in text)
