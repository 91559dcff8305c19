"""A review as one HTML file: every changed bar before and after, what follows from it, nothing fetched from anywhere.

Whatever stands in a contributed file is escaped as it is put into the page; the only script is our own, which the
page names by its hash, so that a browser runs no other.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Container, Iterable, Iterator, Sequence

from markupsafe import Markup, escape

from tabtools.engraving import GLYPHS
from tabtools.model.solo import Bar, Like, numbers_of
from tabtools.problem import Problem
from tabtools.reports.changes import ChangeGroup, ToldChange, groups_of
from tabtools.reports.comparison import FileChange, in_short
from tabtools.reports.consequences import consequences_in_words, lint_in_short, problem_in_words
from tabtools.reports.review import Reviewed, headline
from tabtools.review.change import Comparison
from tabtools.review.consequences import Consequences
from tabtools.source import visible
from tabtools.website.bar_pairs import Drawn, bars_of, marked_notes
from tabtools.website.markup import html, trusted
from tabtools.website.records import inlined
from tabtools.website.scripts import ASSETS, REVIEW_PAGE, joined

STYLES = ("tabtools.css", "tab.css", "review_page.css")
MOST_NEW_BARS = 64
"""Of a new solo that are drawn."""
MOST_SAME_FINDINGS = 50
"""Of those that the linter has before and after."""

_LEGEND = Markup(
    '<p class="rv-legend"><svg width="24" height="22" aria-hidden="true"><rect class="rv-was" '
    'x="2" y="2" width="20" height="18" rx="1"/></svg> dashed box: a note as it was '
    '<svg width="24" height="22" aria-hidden="true"><rect class="rv-now" x="2" y="2" width="20" '
    'height="18" rx="9"/></svg> solid ring: a note as it is now. Figures under the notes are '
    "their degrees over the chord, in brackets over the key.</p>"
)


def review_page(reviewed: Reviewed, title: str = "") -> Markup:
    """The whole page; without a title it is the review of what was asked for."""
    files = Markup().join(_file(file, f"f{place}") for place, file in enumerate(reviewed.files))
    others = _others(reviewed.others)
    title = _shown(title or f"Review of {reviewed.revisions}")
    script = joined(REVIEW_PAGE)
    return html(
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n<meta name="referrer" '
        'content="no-referrer">\n<title>{title}</title>\n<style>\n{style}</style>\n</head>\n'
        "<body>\n{glyphs}"
        "<header><h1>{title}</h1><p>{headline}</p>{contents}{legend}"
        "</header>\n<main>{files}{others}</main>\n<script>{script}</script>\n</body>\n</html>\n",
        policy=trusted(_policy(script)),
        title=title,
        style=_style(),
        glyphs=GLYPHS,
        headline=_shown(headline(reviewed.files)),
        contents=_contents(reviewed.files),
        legend=_LEGEND,
        files=files,
        others=others,
        script=trusted(script),
    )


def _shown(text: str) -> Markup:
    """Text of a contributed file, safe within markup, without controls."""
    return escape(visible(text))


def _style() -> Markup:
    return trusted("".join((ASSETS / name).read_text("utf-8") for name in STYLES))


def _policy(script: str) -> str:
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; base-uri 'none'"


def _contents(files: Sequence[FileChange]) -> Markup:
    if len(files) < 2:
        return Markup()
    rows = Markup().join(
        html(
            '<li><a href="#f{place}">{path}</a>: {in_short}</li>',
            place=place,
            path=_shown(file.path),
            in_short=_shown(in_short(file)),
        )
        for place, file in enumerate(files)
    )
    return html("<nav><ul>{rows}</ul></nav>", rows=rows)


def _others(names: Sequence[str]) -> Markup:
    if not names:
        return Markup()
    rows = Markup().join(html("<li><code>{name}</code></li>", name=_shown(name)) for name in names)
    return html(
        "<section><h2>Other files</h2><p>Changed too, and not looked at here:</p><ul>{rows}</ul></section>", rows=rows
    )


# ---- one file


def _file(file: FileChange, name: str) -> Markup:
    renamed = (
        html(" <small>(was {old_path})</small>", old_path=_shown(file.old_path)) if file.old_path != file.path else ""
    )
    body = [html("<p>{in_short}</p>", in_short=_shown(in_short(file)))]
    if file.comparison is not None:
        is_whole = file.status in ("new", "gone")
        body.extend(_whole(file.comparison, file.status, name) if is_whole else _changes(file.comparison, name))
    body.extend(_consequences(file))
    if file.text:
        body.append(html("<h3>The text</h3>{difference}", difference=_difference(file.text)))
    if file.lesson:
        body.append(html("<h3>The lesson</h3>{difference}", difference=_difference(file.lesson)))
    return html(
        '<section class="rv-file" id="{name}"><h2>{path}{renamed}</h2>{body}</section>',
        name=name,
        path=_shown(file.path),
        renamed=renamed,
        body=Markup().join(body),
    )


def _whole(comparison: Comparison, kind: str, name: str) -> Iterator[Markup]:
    """A solo that is `new`, or `gone`: its bars one after the other."""
    version = comparison.before if kind == "gone" else comparison.after
    numbers = [number for item in version.solo.items if isinstance(item, Bar | Like) for number in numbers_of(item)]
    shown = tuple(numbers[:MOST_NEW_BARS])
    sign = "was" if kind == "gone" else "now"
    drawn = Drawn(version.timeline, f"{name}-{kind}", sign, frozenset(), frozenset(shown))
    if len(numbers) > MOST_NEW_BARS:
        yield html("<p>The first {most} of {count} bars:</p>", most=MOST_NEW_BARS, count=len(numbers))
    yield _side(drawn, shown, f"The solo, {kind}")
    yield _score(drawn)


def _changes(comparison: Comparison, name: str) -> Iterator[Markup]:
    groups = groups_of(comparison)
    marked = marked_notes((change for group in groups for told in group.told for change in told.changes), comparison)
    pairs = [bars_of(group, comparison) for group in groups]
    olds, news = (frozenset(number for pair in pairs for number in pair[side]) for side in (0, 1))
    was = Drawn(comparison.before.timeline, f"{name}-old", "was", marked[0], olds)
    now = Drawn(comparison.after.timeline, f"{name}-new", "now", marked[1], news)
    for group, pair in zip(groups, pairs, strict=True):
        shown = ""
        if pair.old or pair.new:
            shown = html(
                '<div class="rv-pair">{before}{after}</div>',
                before=_side(was, pair.old, "Before"),
                after=_side(now, pair.new, "After"),
            )
        yield html(
            "<article><h3>{title}</h3>{shown}{changes}</article>",
            title=_shown(group.title),
            shown=shown,
            changes=_list(group),
        )
    yield _score(was) + _score(now)


def _side(drawn: Drawn, numbers: tuple[int, ...], title: str) -> Markup:
    """One version of some bars, with a button that plays them."""
    there = [number for number in numbers if number in drawn.bars]
    if not there:
        return html('<figure><figcaption>{title}</figcaption><p class="rv-none">nothing</p></figure>', title=title)
    where = f"bar {there[0]}" if len(there) == 1 else f"bars {there[0]} to {there[-1]}"
    return html(
        '<figure><figcaption>{title}, {where} {button}</figcaption><div class="tt-tab" '
        'tabindex="0" role="region" aria-label="{title}, {where}">{bars}</div></figure>',
        title=title,
        where=where,
        button=_button(drawn, there, title),
        bars=drawn.bars_html(there),
    )


def _button(drawn: Drawn, numbers: Sequence[int], title: str) -> Markup:
    first, last = (drawn.timeline.bar_numbers[number] for number in (numbers[0], numbers[-1]))
    start, end = round(first.start * 1000), round(last.end * 1000)
    label = f"Play: {title.lower()}, bar {numbers[0]}"
    return html(
        '<button type="button" data-score="{name}-score" data-from="{start}" data-to="{end}" '
        'aria-label="{label}" hidden>Play</button>',
        name=drawn.name,
        start=start,
        end=max(start, end),
        label=label,
    )


def _score(drawn: Drawn) -> Markup:
    """What the buttons play; nothing where there are none."""
    if not drawn.bars:
        return Markup()
    return html(
        '<script type="application/json" id="{name}-score">{inlined}</script>',
        name=drawn.name,
        inlined=inlined(drawn.score()),
    )


def _list(group: ChangeGroup) -> Markup:
    return html('<ul class="rv-changes">{rows}</ul>', rows=Markup().join(map(_told, group.told)))


def _told(told: ToldChange) -> Markup:
    place = html("<b>{place}</b> ", place=_shown(told.place)) if told.place else ""
    if told.was and told.now and told.was != told.now:
        said = html("<del>{was}</del> → <ins>{now}</ins> ", was=_shown(told.was), now=_shown(told.now))
    elif told.now:
        said = html("<span>{now}</span> ", now=_shown(told.now))
    else:
        said = html("<span>{was}</span> ", was=_shown(told.was)) if told.was else Markup()
    block = _difference(told.block) if told.block else ""
    return html(
        "<li>{place}{said}<i>({what})</i>{block}</li>", place=place, said=said, what=_shown(told.what), block=block
    )


def _consequences(file: FileChange) -> Iterator[Markup]:
    found = file.consequences
    for title, rows in consequences_in_words(found):
        kind = "rv-false" if "true in the lesson" in title else "rv-follows"
        said = Markup().join(html("<li>{row}</li>", row=_shown(row)) for row in rows)
        yield html(
            '<div class="{kind}"><h3>{title}</h3><ul>{said}</ul></div>',
            kind=kind,
            title=title.capitalize(),
            said=said,
        )
    if file.status != "gone":
        yield _lint(found)


def _lint(found: Consequences) -> Markup:
    """What the linter says before and after, folded; what differs is there whole, and says so in a word and by a
    sign."""
    counts = lint_in_short(found)
    if not counts:
        return Markup('<p class="rv-lint">Lint: no findings, before or after.</p>')
    sides = (
        ("Before", found.before, found.vanished, "−", "gone"),
        ("After", found.after, found.appeared, "+", "new"),
    )
    lists = Markup().join(
        html(
            "<div><h4>{title}</h4>{findings}</div>",
            title=title,
            findings=_findings(problems, {id(one) for one in differing}, sign, word),
        )
        for title, problems, differing, sign, word in sides
    )
    both = html('<div class="rv-pair">{lists}</div>', lists=lists)
    return html(
        '<details class="rv-lint"><summary>Lint: {counts}</summary>{both}</details>', counts=_shown(counts), both=both
    )


def _findings(problems: Sequence[Problem], differing: Container[int], sign: str, word: str) -> Markup:
    if not problems:
        return Markup("<p>nothing</p>")
    tag = "del" if word == "gone" else "ins"
    rows = []
    same = 0
    for one in problems:
        is_same = id(one) not in differing
        same += is_same
        if is_same and same > MOST_SAME_FINDINGS:
            continue
        said = _shown(problem_in_words(one))
        rows.append(
            html("<li>{said}</li>", said=said)
            if is_same
            else html("<li><b>{sign} {word}:</b> <{tag}>{said}</{tag}></li>", sign=sign, word=word, tag=tag, said=said)
        )
    if same > MOST_SAME_FINDINGS:
        rows.append(html("<li>and {same:,} more, the same before and after</li>", same=same - MOST_SAME_FINDINGS))
    return html("<ul>{rows}</ul>", rows=Markup().join(rows))


def _difference(rows: Iterable[str]) -> Markup:
    """Lines of text that came and went; the sign at their start says so as well as the tone."""
    return html('<pre tabindex="0">{rows}</pre>', rows=Markup().join(map(_row, rows)))


def _row(row: str) -> Markup:
    tag = {"+": "ins", "-": "del"}.get(row[:1])
    shown = _shown(row)
    is_marked = tag and not row.startswith(("+++", "---"))
    return html("<{tag}>{shown}</{tag}>\n", tag=tag, shown=shown) if is_marked else shown + Markup("\n")
