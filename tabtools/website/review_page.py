"""A review as one HTML file: every changed bar before and after, what follows from it, nothing fetched from anywhere.

Whatever stands in a contributed file goes through `html.escape`; the only script is our own, which the page names by
its hash, so that a browser runs no other.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Container, Iterable, Iterator, Sequence
from html import escape

from tabtools.engraving import GLYPHS
from tabtools.model.solo import Bar, Like
from tabtools.problem import Problem
from tabtools.reports.changes import Group, Told, groups_of
from tabtools.reports.comparison import FileChange, in_short
from tabtools.reports.consequences import consequences_in_words, lint_in_short, problem_in_words
from tabtools.reports.review import Reviewed, headline
from tabtools.review.align import numbers_of
from tabtools.review.consequences import Consequences
from tabtools.source import visible
from tabtools.website.bar_pairs import Drawn, bars_of, marked_notes
from tabtools.website.records import inlined
from tabtools.website.scripts import ASSETS, REVIEW_PAGE, joined

STYLES = ("tabtools.css", "tab.css", "review_page.css")
MOST_NEW_BARS = 64
"""Of a new solo that are drawn."""
MOST_SAME_FINDINGS = 50
"""Of those that the linter has before and after."""

_LEGEND = (
    '<p class="rv-legend"><svg width="24" height="22" aria-hidden="true"><rect class="rv-was" x="2" y="2" width="20" '
    'height="18" rx="1"/></svg> dashed box: a note as it was <svg width="24" height="22" aria-hidden="true">'
    '<rect class="rv-now" x="2" y="2" width="20" height="18" rx="9"/></svg> solid ring: a note as it is now. '
    "Figures under the notes are their degrees over the chord, in brackets over the key.</p>"
)


def review_page(reviewed: Reviewed, title: str = "") -> str:
    """The whole page; without a title it is the review of what was asked for."""
    files = "".join(_file(file, f"f{place}") for place, file in enumerate(reviewed.files))
    others = _others(reviewed.others)
    title = _shown(title or f"Review of {reviewed.revisions}")
    script = joined(REVIEW_PAGE)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(script)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n<meta name="referrer" '
        f'content="no-referrer">\n<title>{title}</title>\n<style>\n{_style()}</style>\n</head>\n<body>\n{GLYPHS}'
        f"<header><h1>{title}</h1><p>{_shown(headline(reviewed.files))}</p>{_contents(reviewed.files)}{_LEGEND}"
        f"</header>\n<main>{files}{others}</main>\n<script>{script}</script>\n</body>\n</html>\n"
    )


def _shown(text: str) -> str:
    """Text of a contributed file, safe within markup, without controls."""
    return escape(visible(text))


def _style() -> str:
    return "".join((ASSETS / name).read_text("utf-8") for name in STYLES)


def _policy(script: str) -> str:
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; base-uri 'none'"


def _contents(files: Sequence[FileChange]) -> str:
    if len(files) < 2:
        return ""
    rows = "".join(
        f'<li><a href="#f{place}">{_shown(file.path)}</a>: {_shown(in_short(file))}</li>'
        for place, file in enumerate(files)
    )
    return f"<nav><ul>{rows}</ul></nav>"


def _others(names: Sequence[str]) -> str:
    if not names:
        return ""
    rows = "".join(f"<li><code>{_shown(name)}</code></li>" for name in names)
    return f"<section><h2>Other files</h2><p>Changed too, and not looked at here:</p><ul>{rows}</ul></section>"


# ---- one file


def _file(file: FileChange, name: str) -> str:
    renamed = f" <small>(was {_shown(file.old_path)})</small>" if file.old_path != file.path else ""
    body = [f"<p>{_shown(in_short(file))}</p>"]
    if file.comparison is not None:
        body.extend(_whole(file, name) if file.status in ("new", "gone") else _changes(file, name))
    body.extend(_consequences(file))
    if file.text:
        body.append(f"<h3>The text</h3>{_difference(file.text)}")
    if file.lesson:
        body.append(f"<h3>The lesson</h3>{_difference(file.lesson)}")
    return f'<section class="rv-file" id="{name}"><h2>{_shown(file.path)}{renamed}</h2>{"".join(body)}</section>'


def _whole(file: FileChange, name: str) -> Iterator[str]:
    """A solo that is new, or gone: its bars one after the other."""
    kind = "gone" if file.status == "gone" else "new"
    version = file.comparison.before if kind == "gone" else file.comparison.after
    numbers = [number for item in version.solo.items if isinstance(item, Bar | Like) for number in numbers_of(item)]
    shown = tuple(numbers[:MOST_NEW_BARS])
    sign = "was" if kind == "gone" else "now"
    drawn = Drawn(version.timeline, f"{name}-{kind}", sign, frozenset(), frozenset(shown))
    if len(numbers) > MOST_NEW_BARS:
        yield f"<p>The first {MOST_NEW_BARS} of {len(numbers)} bars:</p>"
    yield _side(drawn, shown, f"The solo, {kind}")
    yield _score(drawn)


def _changes(file: FileChange, name: str) -> Iterator[str]:
    comparison = file.comparison
    groups = groups_of(comparison)
    marked = marked_notes((told.change for group in groups for told in group.told), comparison)
    pairs = [bars_of(group, comparison) for group in groups]
    olds, news = (frozenset(number for pair in pairs for number in pair[side]) for side in (0, 1))
    was = Drawn(comparison.before.timeline, f"{name}-old", "was", marked[0], olds)
    now = Drawn(comparison.after.timeline, f"{name}-new", "now", marked[1], news)
    for group, pair in zip(groups, pairs, strict=True):
        shown = ""
        if pair.old or pair.new:
            shown = f'<div class="rv-pair">{_side(was, pair.old, "Before")}{_side(now, pair.new, "After")}</div>'
        yield f"<article><h3>{_shown(group.title)}</h3>{shown}{_list(group)}</article>"
    yield _score(was) + _score(now)


def _side(drawn: Drawn, numbers: tuple[int, ...], title: str) -> str:
    """One version of some bars, with a button that plays them."""
    there = [number for number in numbers if number in drawn.bars]
    if not there:
        return f'<figure><figcaption>{title}</figcaption><p class="rv-none">nothing</p></figure>'
    where = f"bar {there[0]}" if len(there) == 1 else f"bars {there[0]} to {there[-1]}"
    return (
        f'<figure><figcaption>{title}, {where} {_button(drawn, there, title)}</figcaption><div class="tt-tab" '
        f'tabindex="0" role="region" aria-label="{title}, {where}">{drawn.html(there)}</div></figure>'
    )


def _button(drawn: Drawn, numbers: Sequence[int], title: str) -> str:
    first, last = (drawn.timeline.bar_numbers[number] for number in (numbers[0], numbers[-1]))
    start, end = round(first.start * 1000), round(last.end * 1000)
    label = f"Play: {title.lower()}, bar {numbers[0]}"
    return (
        f'<button type="button" data-score="{drawn.name}-score" data-from="{start}" data-to="{max(start, end)}" '
        f'aria-label="{label}" hidden>Play</button>'
    )


def _score(drawn: Drawn) -> str:
    """What the buttons play; nothing where there are none."""
    if not drawn.bars:
        return ""
    return f'<script type="application/json" id="{drawn.name}-score">{inlined(drawn.score())}</script>'


def _list(group: Group) -> str:
    return f'<ul class="rv-changes">{"".join(map(_told, group.told))}</ul>'


def _told(told: Told) -> str:
    place = f"<b>{_shown(told.place)}</b> " if told.place else ""
    if told.was and told.now and told.was != told.now:
        said = f"<del>{_shown(told.was)}</del> → <ins>{_shown(told.now)}</ins> "
    elif told.now:
        said = f"<span>{_shown(told.now)}</span> "
    else:
        said = f"<span>{_shown(told.was)}</span> " if told.was else ""
    block = _difference(told.block) if told.block else ""
    return f"<li>{place}{said}<i>({_shown(told.what)})</i>{block}</li>"


def _consequences(file: FileChange) -> Iterator[str]:
    found = file.consequences
    for title, rows in consequences_in_words(found):
        kind = "rv-false" if found.false_claims and title.startswith("no longer true") else "rv-follows"
        said = "".join(f"<li>{_shown(row)}</li>" for row in rows)
        yield f'<div class="{kind}"><h3>{escape(title.capitalize())}</h3><ul>{said}</ul></div>'
    if file.status != "gone":
        yield _lint(found)


def _lint(found: Consequences) -> str:
    """What the linter says before and after, folded; what differs is there whole, and says so in a word and by a
    sign."""
    counts = lint_in_short(found)
    if not counts:
        return '<p class="rv-lint">Lint: no findings, before or after.</p>'
    sides = (
        ("Before", found.before, found.vanished, "−", "gone"),
        ("After", found.after, found.appeared, "+", "new"),
    )
    lists = "".join(
        f"<div><h4>{title}</h4>{_findings(problems, {id(one) for one in differing}, sign, word)}</div>"
        for title, problems, differing, sign, word in sides
    )
    both = f'<div class="rv-pair">{lists}</div>'
    return f'<details class="rv-lint"><summary>Lint: {_shown(counts)}</summary>{both}</details>'


def _findings(problems: Sequence[Problem], differing: Container[int], sign: str, word: str) -> str:
    if not problems:
        return "<p>nothing</p>"
    tag = "del" if word == "gone" else "ins"
    rows = []
    same = 0
    for one in problems:
        is_same = id(one) not in differing
        same += is_same
        if is_same and same > MOST_SAME_FINDINGS:
            continue
        said = _shown(problem_in_words(one))
        rows.append(f"<li>{said}</li>" if is_same else f"<li><b>{sign} {word}:</b> <{tag}>{said}</{tag}></li>")
    if same > MOST_SAME_FINDINGS:
        rows.append(f"<li>and {same - MOST_SAME_FINDINGS:,} more, the same before and after</li>")
    return f"<ul>{''.join(rows)}</ul>"


def _difference(rows: Iterable[str]) -> str:
    """Lines of text that came and went; the sign at their start says so as well as the tone."""
    return f'<pre tabindex="0">{"".join(map(_row, rows))}</pre>'


def _row(row: str) -> str:
    tag = {"+": "ins", "-": "del"}.get(row[:1])
    shown = _shown(row)
    return f"<{tag}>{shown}</{tag}>\n" if tag and not row.startswith(("+++", "---")) else f"{shown}\n"
