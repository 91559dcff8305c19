"""A lesson's Markdown as safe HTML, its claims as links into the tab.

Markdown is rendered, then sanitised: scripts, styles, images and handlers do not arrive, links lead to the web, to
mail or to another solo. Only then our own links are put in, so that nothing in a lesson can pass for one.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape

import markdown
import nh3
from markupsafe import Markup

from tabtools.source import SourceText, is_number
from tabtools.website.links import Links
from tabtools.website.markup import html, trusted
from tabtools.website.typography import in_prose_of

MAX_CHARACTERS = 65_536
MAX_LINES = 5_000
MAX_BRACKETS = 2_000

_TAGS = frozenset(
    # inline, blocks, tables
    {"a", "br", "code", "del", "em", "kbd", "s", "strong", "sub", "sup"}
    | {"blockquote", "dd", "dl", "dt", "h2", "h3", "h4", "h5", "h6", "hr", "li", "ol", "p", "pre", "ul"}
    | {"table", "tbody", "td", "th", "thead", "tr"}
)
_HEADINGS = frozenset(("h2", "h3", "h4", "h5", "h6"))
_ATTRIBUTES = {"a": {"href", "title"}, "ol": {"start"}, **{heading: {"id"} for heading in _HEADINGS}}
_ANOTHER_SOLO = re.compile(r"([\w-]+)\.(?:md|solo)(#b[0-9.]+)?\Z")
_CLAIM = re.compile(r"<code>(@[^<]*)</code>")
_EXTENSIONS = ("tables", "fenced_code", "sane_lists", "toc")


class LessonError(Exception):
    """A lesson that cannot be rendered; the text says why and what to do."""


def render_lesson(lesson: SourceText, claim: Callable[[str], Markup | None], links: Links) -> Markup:
    """The lesson as HTML. `claim` turns the text of a claim into a link, or None to leave it as code.

    Raises `LessonError` for a lesson beyond all size, or nested beyond reading.
    """
    _refuse_excess(lesson.text)
    try:
        rendered = markdown.markdown(
            _without_title(lesson.text),
            extensions=_EXTENSIONS,
            extension_configs={"toc": {"baselevel": 2, "slugify": _slug, "marker": ""}},
        )
    except RecursionError:
        raise LessonError("the lesson nests lists or quotations too deeply; write it flatter") from None
    safe = nh3.clean(
        rendered,
        tags=set(_TAGS),
        attributes=_ATTRIBUTES,
        attribute_filter=lambda tag, attribute, value: _filtered(tag, attribute, value, links),
        url_schemes={"http", "https", "mailto"},
        clean_content_tags={"script", "style", "svg", "math", "iframe", "object", "noscript", "template"},
    )
    return trusted(_CLAIM.sub(lambda match: claim(unescape(match[1]).strip()) or match[0], in_prose_of(safe)))


def solos_mentioned(text: str) -> frozenset[str]:
    """Whatever may be the slug of another solo that a lesson leads to."""
    return frozenset(re.findall(r"(?<![\w-])([\w-]+)\.(?:md|solo)", text))


def _refuse_excess(text: str) -> None:
    if len(text) > MAX_CHARACTERS:
        raise LessonError(f"the lesson has {len(text):,} characters; the most is {MAX_CHARACTERS:,}")
    lines = text.count("\n")
    if lines > MAX_LINES:
        raise LessonError(f"the lesson has {lines:,} lines; the most is {MAX_LINES:,}")
    for sign in "[<":
        if text.count(sign) > MAX_BRACKETS:
            raise LessonError(f"the lesson has {text.count(sign):,} signs {sign}; the most is {MAX_BRACKETS:,}")


def _without_title(text: str) -> str:
    """The page has its title already: a first heading of the first rank is left out."""
    return re.sub(r"\A\s*# [^\n]*\n", "", text, count=1)


def _slug(text: str, separator: str) -> str:
    words = re.sub(r"[^\w\s-]", "", text).strip().lower()
    return "lesson-" + re.sub(r"[\s-]+", separator, words)


def _filtered(tag: str, attribute: str, value: str, links: Links) -> str | None:
    if attribute == "id":
        return value if re.fullmatch(r"lesson-[\w-]*", value) else None
    if tag == "a" and attribute == "href":
        return _href(value, links)
    if attribute == "start":
        return value if is_number(value) else None
    return value


def _href(value: str, links: Links) -> str | None:
    match = _ANOTHER_SOLO.match(value)
    if match:
        page = links.solo_named(match[1])
        return page and page + (match[2] or "")
    if re.match(r"(?:https?://|mailto:|#(?:b[0-9.]+|lesson-[\w-]*)\Z)", value, re.IGNORECASE):
        return value
    return None


def claim_link(href: str, where: str, said: str, notes: str = "") -> Markup:
    """A claim as readers see it: what is said, and where; `notes` are the numbers of those it speaks of."""
    words = html("{said}&nbsp;", said=said) if said else ""
    spoken_of = html(' data-notes="{notes}"', notes=notes) if notes else ""
    place = html('<span class="tt-where">{where}</span>', where=where)
    return html(
        '<a class="tt-claim" href="#{href}"{spoken_of}>{words}{place}</a>',
        href=href,
        spoken_of=spoken_of,
        words=words,
        place=place,
    )
