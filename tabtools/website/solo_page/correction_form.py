"""A reader's correction, begun on the page: a form, and what its script makes a patch of. HTML as text, without mkdocs.

The patch is made in the reader's browser and goes nowhere by itself. Its frame comes from `review.patch`, which also
reads it when it comes back; here only the place of every bar in the text is worked out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import PurePosixPath
from urllib.parse import urlsplit

from markupsafe import Markup

from tabtools.model.solo import Item
from tabtools.notation.limits import MAX_LINE
from tabtools.review.patch import PatchError, read_patch, suggestion
from tabtools.review.sender import LONGEST_CREDIT, LONGEST_REASON
from tabtools.source import MAX_BYTES, SourceText
from tabtools.timeline import TimedBar, Timeline
from tabtools.website.markup import html
from tabtools.website.records import WrittenBar, inlined, listed

PLACEHOLDERS = ("{title}", "{body}")
EXAMPLE = "https://forge.example/solos/issues/new?title={title}&body={body}"

SIGNS = (
    ("1  2  3-4", "the count, or the counts, that a line begins with; what follows shares their time evenly"),
    ("3:7", "third string, seventh fret; string 1 is the highest, 3:x is a dead note"),
    ("-  .", "what sounds goes on; silence"),
    ("( )", "one share of the time, divided further"),
    ("h9 p7 /9 \\7 t12", "hammer-on, pull-off, slides, tap, to that fret"),
    ("b9 r7", "bent to the pitch of fret 9, released to that of fret 7"),
    ("3:7~", "vibrato"),
    ("3:9?", "not sure of this note"),
    ("=D4", "heard as D4, you cannot say where on the neck; b=E4 is bent to that pitch"),
    ("?  ??", "a note whose pitch you cannot make out; a stretch in which you can make out nothing"),
    ("1-2?", "the notes are these, their rhythm is not certain"),
    ("# words", "anything that you would rather say in words"),
)


class IssueAddressError(ValueError):
    """An address that corrections cannot be sent to; says why, and what to write."""


@dataclass(frozen=True, slots=True)
class Written:
    """Where a solo's bars stand in its text, in lines counted from 0.

    `header` is how many lines come before the first section or bar. `bars` are those drawn, in their order.
    """

    header: int
    bars: tuple[WrittenBar, ...]


def written_bars(source: SourceText, timeline: Timeline) -> Written:
    """The place of every bar, with the comments that stand with it."""
    items = timeline.solo.items
    places = dict(zip(map(id, items), _stretches(source, items), strict=True))
    header = min((start for start, _ in places.values()), default=0)
    return Written(_trimmed(source, 0, header), tuple(_bar(bar, places) for bar in timeline.bars))


def _bar(bar: TimedBar, places: dict[int, tuple[int, int]]) -> WrittenBar:
    if bar.like is None:
        return WrittenBar(bar.number, *places[id(bar.written)])
    return WrittenBar(bar.number, *places[id(bar.like)], bar.written.number, bar.like.first, bar.like.last)


def _stretches(source: SourceText, items: tuple[Item, ...]) -> Iterator[tuple[int, int]]:
    """The lines of every item: from its first comment to what is above the next one, without blank lines."""
    starts = [(item.comments.above or (item,))[0].span.start for item in items]
    lines = [*(source.locate(start)[0] - 1 for start in starts), source.text.count("\n")]
    for start, end in pairwise(lines):
        yield start, _trimmed(source, start, end)


def _trimmed(source: SourceText, start: int, end: int) -> int:
    while end > start and not source.line(end).strip():
        end -= 1
    return end


def check_issue_address(text: str) -> None:
    """Whether corrections can be sent to an address; empty for none. Raises `IssueAddressError`."""
    if not text:
        return
    advice = f"write one like {EXAMPLE}, or mailto:you@club.example"
    try:
        parts = urlsplit(text)
    except ValueError:
        raise IssueAddressError(f"it is no address; {advice}") from None
    if re.search(r"[\x00-\x20\x7f-\x9f\"<>\\^`|]", text):
        raise IssueAddressError(f"it has a space or a sign that no address has; {advice}")
    if parts.scheme not in ("http", "https", "mailto"):
        raise IssueAddressError(f"it begins with none of https:, http: and mailto:; {advice}")
    if not (parts.netloc if parts.scheme != "mailto" else "@" in parts.path):
        raise IssueAddressError(f"it names nobody to send to; {advice}")
    query = parts.query
    for placeholder in PLACEHOLDERS:
        query = query.replace(placeholder, "", 1)
    if re.search(r"[{}]", text.replace(parts.query, "", 1) + query):
        raise IssueAddressError(f"only {{title}} and {{body}} can be filled in, once each and behind the ?; {advice}")


def correction_form_html(written: Written, data: bytes, title: str, path: str, issues: str = "") -> Markup:
    """The form for a solo's page; nothing where no patch of its file could be taken.

    `data` is the file, `path` its name from the top of the repository; `issues` is an address that
    `check_issue_address` passes. Behind a byte-order mark the header is not offered: in a patch the mark would have to
    stand in its first line.
    """
    text = data.decode("utf-8", "replace").replace("\r\n", "\n")
    has_mark = text.startswith("\ufeff")
    frame = suggestion("", "\n", path)
    try:
        read_patch(frame.encode("utf-8", "surrogatepass"), "")
    except PatchError:
        return Markup()
    if "\r" in text or not written.bars:
        return Markup()
    opening, _, diff = frame.partition("\n\n")
    facts = {
        "title": title,
        "name": PurePosixPath(path).stem,
        "opening": opening,
        "names": diff.partition("@@ ")[0],
        "text": text.removeprefix("\ufeff"),
        "header": 0 if has_mark else written.header,
        "bars": [listed(bar) for bar in written.bars],
        "issues": issues,
        "mostBytes": MAX_BYTES,
        "longestLine": MAX_LINE,
    }
    return html(
        '<section class="tt-suggest" aria-labelledby="suggest" data-search-exclude hidden>'
        '<h2 id="suggest">Suggest a correction</h2>'
        "<p>Do you hear something else? Choose a bar here, or a note in the tab.</p>"
        '<div class="tt-suggest-choice"><label>Bar <select name="place"></select></label>'
        '<button type="button" data-suggest="open">Correct it</button></div>'
        "{form}"
        '<script type="application/json" class="tt-written">{inlined}</script></section>',
        form=_form(issues),
        inlined=inlined(facts),
    )


def _form(issues: str) -> Markup:
    return html(
        '<form class="tt-suggest-form" aria-labelledby="suggest-place" novalidate hidden>'
        '<h3 id="suggest-place" tabindex="-1"></h3>'
        '<div class="tt-suggest-drawn" role="group" aria-label="As it is drawn now"></div>'
        '<p class="tt-suggest-repeats" hidden><span></span> '
        '<button type="button" data-suggest="repeated"></button></p>'
        '<label for="suggest-text">As it is written</label>'
        '<textarea id="suggest-text" name="text" class="tt-suggest-text" wrap="off" rows="6" '
        'spellcheck="false" '
        'autocomplete="off" autocapitalize="off" aria-describedby="suggest-fault '
        'suggest-hint"></textarea>'
        '<p id="suggest-fault" class="tt-suggest-fault" role="alert"></p>'
        '<button type="button" data-suggest="reset">Back to how it was</button>'
        '<div class="tt-suggest-change" hidden><h4>What changes</h4><div></div></div>'
        '<p id="suggest-hint">The drawing does not follow what you type. Counts, frets and the '
        "length of the bar are "
        "checked, and drawn, when those who keep the solos receive it.</p>"
        "<details><summary>How a bar is written</summary><dl>{crib}</dl></details>"
        '<label for="suggest-reason">Why? How do you know? (optional)</label>'
        '<textarea id="suggest-reason" name="reason" rows="3" maxlength="{longest_reason}"></textarea>'
        '<label for="suggest-at">Where in the recording (optional)</label>'
        '<input id="suggest-at" name="at" type="text" autocomplete="off" maxlength="{longest_credit}" '
        'aria-describedby="suggest-at-hint">'
        '<p id="suggest-at-hint">Minutes and seconds, like 0:42.3.</p>'
        '<label for="suggest-credit">Your name, to be thanked by (optional)</label>'
        '<input id="suggest-credit" name="credit" type="text" autocomplete="name" '
        'maxlength="{longest_credit}" '
        'aria-describedby="suggest-public">'
        '<p id="suggest-public">What you send becomes public: the change, your '
        "reason and, if you give it, your name stay in the history of the solos. This page keeps none of it, and "
        "sends nothing by itself.</p>"
        '<div class="tt-suggest-actions"><button type="submit">Make the patch</button>'
        '<button type="button" data-suggest="close">Close</button></div>'
        '<p class="tt-suggest-said" role="status"></p>'
        "{result}</form>",
        crib=_crib(),
        longest_reason=LONGEST_REASON,
        longest_credit=LONGEST_CREDIT,
        result=_result(issues),
    )


def _result(issues: str) -> Markup:
    return html(
        '<div class="tt-suggest-result" hidden>'
        '<h4 id="suggest-result" tabindex="-1">Your correction</h4>'
        '<p class="tt-suggest-sending">{value}</p>'
        '<div class="tt-suggest-actions">{link}<button type="button" data-suggest="copy">Copy</button>'
        '<button type="button" data-suggest="download">Download</button></div>'
        '<textarea class="tt-suggest-patch" aria-labelledby="suggest-result" rows="12" wrap="off" '
        "readonly></textarea>"
        "</div>",
        value="" if issues else "Send it to whoever keeps these solos, as a file.",
        link=_link(issues),
    )


def _link(issues: str) -> Markup:
    if issues.lower().startswith("mailto:"):
        return Markup('<a data-suggest="send">Send it by mail</a>')
    if issues:
        return Markup(
            '<a data-suggest="send" target="_blank" rel="noopener noreferrer">Send it as an issue (new tab)</a>'
        )
    return Markup()


def _crib() -> Markup:
    return Markup().join(
        html("<div><dt><code>{sign}</code></dt><dd>{said}</dd></div>", sign=sign, said=said) for sign, said in SIGNS
    )
