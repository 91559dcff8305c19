"""What stands at the address that a solo had under another name: it leads on to the page the solo has now."""

from __future__ import annotations

from tabtools.website.links import Links, solo_path
from tabtools.website.markup import html


def way_on(links: Links, old: str, slug: str, title: str) -> tuple[str, str]:
    """(path below the site, content) of the page at an old address; the place in the tab goes along."""
    address = links.address(solo_path(old))
    page = links.seen_from(solo_path(old)).solo(slug)
    content = html(
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="robots" content="noindex"><link rel="canonical" href="{page}">'
        '<noscript><meta http-equiv="refresh" content="0; url={page}"></noscript></head>'
        '<body><p>This solo has another address now: <a id="on" href="{page}">{title}</a>.</p>'
        '<script>location.replace(document.getElementById("on").href + location.hash)</script></body></html>\n',
        title=title,
        page=page,
    )
    return f"{address}index.html" if address.endswith("/") else address, str(content)
