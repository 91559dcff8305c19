"""The page for an address that is none, whole in itself: it is shown at any depth, under any folder, and from a disk.

The theme's own asks for its style from the root of the host, where the site need not stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import urlsplit

from markupsafe import Markup

from tabtools.website.links import INDEX, Links
from tabtools.website.markup import html, trusted
from tabtools.website.scripts import ASSETS, WRONG_ADDRESS, joined

NAME = "404.html"
_STYLES = ("tabtools.css", "frame.css", "wrong_address.css")


def page(site: str, url: str, links: Links) -> Markup:
    """The page, of a site with this name and address, which is empty where nobody knows it yet."""
    root = urlsplit(url).path
    ways: Sequence[tuple[str, str]] = (
        (links.address("index"), "Home"),
        (links.address(INDEX), "All solos"),
        (links.address(INDEX) + "#figures", "Find a figure"),
        (links.address(INDEX) + "#gathered", "By technique, device and chord"),
    )
    listed = Markup().join(html("<li>{link}</li>", link=_link(to, said, root)) for to, said in ways)
    return html(
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="robots" content="noindex">'
        "<title>No such page - {site}</title><style>{style}</style></head>"
        '<body data-md-color-scheme="default" data-root="{root}"><header class="md-header">{home}</header>'
        '<main class="md-content"><article class="md-typeset"><h1>There is no such page</h1>'
        "<p>A solo may have got another name, or the link may be mistyped. From here it goes on:</p>"
        "<ul>{listed}</ul></article></main><script>{script}</script></body></html>\n",
        site=site,
        style=trusted("".join((ASSETS / name).read_text(encoding="utf-8") for name in _STYLES)),
        root=root,
        home=_link(links.address("index"), site, root),
        listed=listed,
        script=trusted(joined(WRONG_ADDRESS)),
    )


def _link(to: str, said: str, root: str) -> Markup:
    """A link below the site, which the page's script leads to where that begins."""
    return html('<a href="{root}{to}" data-to="{to}">{said}</a>', root=root or "/", to=to, said=said)
