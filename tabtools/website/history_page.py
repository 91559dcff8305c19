"""What git remembers, as HTML: the history of one solo on its page, and the latest corrections of all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from markupsafe import Markup

from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.checks.wording import in_a_row
from tabtools.engraving.metrics import with_accidentals
from tabtools.reports.history import ToldCorrection, collection_history_of
from tabtools.review.git import GitError
from tabtools.review.repository_log import repository_log_of
from tabtools.website.facet_pages import Gathered
from tabtools.website.feed import Dates, FeedEntry
from tabtools.website.links import CORRECTIONS, Links, solo_path
from tabtools.website.markup import html
from tabtools.website.page_build import Prepared
from tabtools.website.typography import in_prose
from tabtools.wording import plural

FEED = "corrections.xml"
TITLE = "Recent corrections"
MOST_BARS = 12
LONGEST_WHY = 200
"""Characters."""


@dataclass(frozen=True)
class ToldHistory:
    """What git tells: the history of each solo by its slug, and the corrections of all but drafts, latest first.

    `fault` is what keeps git from telling all of it. `former` are slugs that a solo had before, by the one it has now,
    the first of all last.
    """

    by_slug: Mapping[str, Markup]
    recent: Sequence[tuple[str, ToldCorrection]]
    fault: GitError | None = None
    former: Mapping[str, Sequence[str]] = field(default_factory=dict)


def history_of_solos(
    folder: Path, solos: Mapping[str, Prepared], links: Links, keeping: Keeping = KEEPING_NOTHING
) -> ToldHistory:
    """What git knows of these solos, by slug; nothing at worst. What `keeping` knows is not worked out again."""
    log = repository_log_of(folder)
    if log.repository is None:
        return ToldHistory({}, (), log.fault)
    top = log.repository.top.resolve()
    paths = {slug: Path(one.path).resolve() for slug, one in solos.items()}
    slugs = {path.relative_to(top).as_posix(): slug for slug, path in paths.items() if path.is_relative_to(top)}
    past = collection_history_of(log, {path: _reader(solos[slug]) for path, slug in slugs.items()}, keeping)
    recent = tuple((slugs[one.path], one) for one in past.recent if not solos[slugs[one.path]].header.draft)
    history = {
        slugs[path]: history_html(entries, solos[slugs[path]], log.is_cut, links, bool(recent))
        for path, entries in past.of_solos.items()
    }
    former = {
        slugs[path]: [Path(one).stem for one in olds] for path, olds in log.former_paths().items() if path in slugs
    }
    return ToldHistory(history, recent, log.fault, former)


def _reader(solo: Prepared) -> Callable[[], str]:
    return lambda: solo.open().source.text


def history_html(
    entries: Sequence[ToldCorrection], solo: Prepared, is_cut: bool, links: Links, has_more: bool = False
) -> Markup:
    """The history of one solo, the latest first; nothing where nothing is known. With more of other solos it leads to
    all corrections."""
    if not entries:
        return Markup()
    links = links.seen_from(
        solo_path(solo.slug), solo.open().page.anchors if any(one.bars for one in entries) else None
    )
    rows = Markup().join(
        html("<li>{entry}</li>", entry=_entry(one, lambda bar: _own_bar(links, bar))) for one in entries
    )
    more = link_to_corrections(links) if has_more else ""
    cut = Markup("<p>What was before is not known here.</p>") if is_cut else ""
    return html(
        '<section class="tt-history" aria-labelledby="history" data-search-exclude>'
        '<h2 id="history">History</h2>'
        "<ol>{rows}</ol>{cut}{more}</section>",
        rows=rows,
        cut=cut,
        more=more,
    )


def link_to_corrections(links: Links) -> Markup:
    """A paragraph that leads to the page of corrections."""
    return html('<p><a href="{page}">{title}</a></p>', page=links.page(CORRECTIONS), title=TITLE)


def corrections_page(recent: Sequence[tuple[str, ToldCorrection]], titles: Mapping[str, str]) -> Gathered | None:
    """The page of the latest corrections; None where there are none."""
    if not recent:
        return None

    def body(links: Links) -> Markup:
        rows = Markup().join(_row(slug, one, titles[slug], links.solo(slug)) for slug, one in recent)
        people = listed_people(one for _, one in recent)
        thanks = html("<p>Suggested by {people}.</p>", people=people) if people else ""
        feed = html('<p><a href="{file}" type="application/atom+xml">As an Atom feed</a></p>', file=links.file(FEED))
        return html(
            '<h1>{title}</h1>{thanks}<ol class="tt-history">{rows}</ol>{feed}',
            title=TITLE,
            thanks=thanks,
            rows=rows,
            feed=feed,
        )

    return Gathered(CORRECTIONS, TITLE, "What was corrected in the transcribed solos, the latest first.", body)


def _row(slug: str, one: ToldCorrection, title: str, page: str) -> Markup:
    said = _entry(one, lambda bar: html('<a href="{page}#b{bar}">{bar}</a>', page=page, bar=bar))
    return html('<li><a href="{page}"><strong>{title}</strong></a>, {said}</li>', page=page, title=title, said=said)


def listed_people(entries: Iterable[ToldCorrection]) -> str:
    """Everybody on whose word something was corrected, each once, in the order of the alphabet."""
    names = {name for one in entries for name in one.commit.credits}
    return in_a_row(sorted(names, key=str.casefold), "and") if names else ""


def feed_entries(
    recent: Sequence[tuple[str, ToldCorrection]], titles: Mapping[str, str], links: Links
) -> Iterator[FeedEntry]:
    """The corrections for a feed. A link names the commit behind `?`, so that no two are alike, and a bar as it is
    numbered now."""
    for slug, one in recent:
        when = one.commit.when
        bar = f"#b{one.bars[0]}" if one.bars else ""
        name = f"{slug}-{one.commit.name}"
        yield FeedEntry(
            name,
            f"{titles[slug]}: {_what(one)}",
            _people(one),
            one.commit.author,
            f"{links.address(solo_path(slug))}?corrected={one.commit.name[:12]}{bar}",
            Dates(when, when),
            is_fleeting=True,
        )


# ---- one correction


def _entry(one: ToldCorrection, link: Callable[[int], Markup]) -> Markup:
    day = one.commit.date[:10]
    people = _people(one)
    bars = Markup(", ").join(link(bar) for bar in one.bars[:MOST_BARS])
    more = len(one.bars) - MOST_BARS
    if more > 0:
        bars = html("{bars} and {more} more", bars=bars, more=more)
    where = html(" {which} {bars}.", which=plural("Bar", len(one.bars)), bars=bars) if bars else ""
    details = Markup().join(_details(one))
    return html(
        '<time datetime="{day}">{day}</time>: {why}{what}{by}.{where}{details}',
        day=day,
        why=_why(one.commit.subject),
        what=_what(one),
        by=html(", {people}", people=people) if people else "",
        where=where,
        details=details,
    )


def _why(subject: str) -> str:
    """The words of whoever made the correction."""
    if not subject.strip():
        return ""
    return f"“{subject if len(subject) <= LONGEST_WHY else subject[: LONGEST_WHY - 1] + '…'}”: "


def _what(one: ToldCorrection) -> str:
    if one.told is None:
        return "first transcribed"
    if not one.told.is_known:
        return "the text changed; how is not known here"
    if not one.told.is_readable and not one.told.summary:
        return "the text changed in a way that cannot be read as music"
    return with_accidentals(one.told.summary)


def _people(one: ToldCorrection) -> str:
    """`by Ida Marlow, suggested by Nell Quayle`."""
    commit = one.commit
    credits = [name for name in commit.credits if name != commit.author]
    said = [f"by {commit.author}"] if commit.author else []
    said += [f"suggested by {in_a_row(credits, 'and')}"] if credits else []
    return ", ".join(said)


def _details(one: ToldCorrection) -> Iterator[Markup]:
    """Both writings of every change, folded away."""
    if one.told is None or not one.told.details:
        return
    rows = [html("<li>{row}</li>", row=in_prose(row)) for row in one.told.details]
    if one.told.more:
        rows.append(html("<li>and {more} more</li>", more=one.told.more))
    yield html("<details><summary>What changed</summary><ul>{rows}</ul></details>", rows=Markup().join(rows))


def _own_bar(links: Links, bar: int) -> Markup:
    anchor = links.anchors.get(str(bar))
    return html('<a href="#{anchor}">{bar}</a>', anchor=anchor, bar=bar) if anchor else html("{bar}", bar=bar)
