"""The page of one solo: its facts, its summary, its tab, its lesson. HTML as text, without mkdocs.

Everything that a contributor wrote is escaped as it is put into the page, or comes from the lesson's sanitiser.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from markupsafe import Markup

from tabtools.checks.subject import Subject
from tabtools.engraving.metrics import with_accidentals
from tabtools.harmony.degrees import DegreeStyle
from tabtools.model.claims import Statement
from tabtools.model.solo import Address, AddressRange, Header
from tabtools.notation.claims import ClaimError, read_claim
from tabtools.problem import Problem
from tabtools.reports.open_words import OPEN_CHECKS
from tabtools.source import SourceText
from tabtools.study import Study, study_of
from tabtools.study.open_things import open_things
from tabtools.timeline import Timeline
from tabtools.timeline.places import PlaceError, notes_at
from tabtools.website.links import INDEX, Links, loop_link, runs, solo_path
from tabtools.website.markup import html
from tabtools.website.solo_page.lesson import claim_link, render_lesson
from tabtools.website.solo_page.open_section import OPEN, for_readers, open_fact
from tabtools.website.solo_page.paper import running_title
from tabtools.website.solo_page.practice import controls
from tabtools.website.solo_page.sections import sections_of
from tabtools.website.solo_page.study_section import StudySections
from tabtools.website.solo_page.tab import tab_html

CONTROLS_HERE, TAB_HERE = Markup("<tt-controls></tt-controls>"), Markup("<tt-tab></tt-tab>")
STUDY_HERE, ABOUT_HERE = Markup("<tt-study></tt-study>"), Markup("<tt-about></tt-about>")
"""Elements and not comments: whoever shortens pages takes comments out, and nobody can contribute such an element."""
LONGEST_DESCRIPTION = 300
DRAFT = "draft"
"""The id of the section that says what is still to be mended."""


@dataclass(frozen=True)
class SoloPage:
    """A page: `body` holds `TAB_HERE` where `tab` belongs, so that a site's search need not read drawings.

    So it does `CONTROLS_HERE` for `controls`, `STUDY_HERE` for `study`, what is known of the solo, and `ABOUT_HERE`
    for what the site knows of it. `anchors` are the ids of the places in the tab.
    """

    body: Markup
    controls: Markup
    tab: Markup
    study: StudySections
    anchors: dict[str, str] = field(repr=False)


def solo_page(
    slug: str,
    subject: Subject,
    lesson: SourceText | None,
    problems: Sequence[Problem],
    links: Links,
    style: DegreeStyle = "plain",
    study: Study | None = None,
    shows_staff: bool = False,
) -> SoloPage:
    """The page of a solo; a draft lists its `problems`, open things aside. `study` is the solo studied, if at hand.

    `shows_staff` says whether there is a staff over the tab before a reader chooses.
    Raises `LessonError` for a lesson that cannot be rendered.
    """
    timeline, header = subject.timeline, subject.solo.header
    title = header.title or slug
    study = study or study_of(timeline, style, subject.hand)
    tab, anchors = tab_html(timeline, style, study, shows_staff)
    links = links.seen_from(solo_path(slug), anchors)
    things = for_readers(open_things(timeline))
    known = sections_of(study, subject.hand, links, things)
    parts = [_head(title, header, links, lesson is not None), CONTROLS_HERE, _desk(timeline, lesson, links)]
    if header.draft:
        others = [problem for problem in problems if problem.check not in OPEN_CHECKS]
        parts.append(_draft_notice(subject, others, links, is_open=bool(things)))
    parts.append(STUDY_HERE)
    parts.append(_about(timeline, open_fact(things)))
    body = Markup("\n").join(parts)
    above = running_title(title) + controls(timeline, known.view)
    return SoloPage(body, above, tab + known.under, known.study, anchors)


def _head(title: str, header: Header, links: Links, has_lesson: bool) -> Markup:
    """The title, and what is asked first of a solo, in a line."""
    facts = filter(None, (header.player, key_text(header), tempo_text(header), tuned_text(header)))
    shown = Markup().join(html("<li>{fact}</li>", fact=fact) for fact in facts)
    draft = html('<li><a href="#{id}">Draft</a></li>', id=DRAFT) if header.draft else ""
    lesson = (
        Markup('<li class="tt-to-lesson" data-search-exclude><a href="#lesson">Lesson</a></li>') if has_lesson else ""
    )
    return html(
        '<header class="tt-head"><h1>{title}</h1><ul class="tt-gist">{shown}{draft}{lesson}</ul>'
        '<p class="tt-back" data-search-exclude><a href="{page}">All solos</a></p></header>',
        title=title,
        shown=shown,
        draft=draft,
        lesson=lesson,
        page=links.page(INDEX),
    )


def tuned_text(header: Header) -> str:
    """The tuning, and the capo where there is one."""
    tuning = header.instrument.tuning
    named = f"{tuning.name} tuning" if tuning.name else tuning_text(header)
    return f"{named}, capo {header.instrument.capo}" if header.instrument.capo else named


def _desk(timeline: Timeline, lesson: SourceText | None, links: Links) -> Markup:
    """The tab, and beside it the lesson, or under it the summary alone."""
    header = timeline.solo.header
    summary = html('<p class="tt-summary">{summary}</p>', summary=header.summary) if header.summary else Markup()
    if lesson is None:
        return html('<div class="tt-desk">{tab}</div>{summary}', tab=TAB_HERE, summary=summary)

    def claim(text: str) -> Markup | None:
        return _claim(text, timeline, links)

    return html(
        '<div class="tt-desk tt-taught">{tab}<div class="tt-side">{summary}<div class="tt-lesson">'
        '<h2 id="lesson">Lesson</h2>{text}</div></div></div>',
        tab=TAB_HERE,
        summary=summary,
        text=render_lesson(lesson, claim, links),
    )


def described(slug: str, header: Header) -> str:
    """A solo in one sentence."""
    return (header.summary or f"{header.title or slug}: a transcribed solo with the degree of every note.")[
        :LONGEST_DESCRIPTION
    ]


def key_text(header: Header) -> str:
    """The key as printed, empty where there is none."""
    key = header.key
    return f"{with_accidentals(str(key.tonic))} {key.mode}" if key else ""


def tuning_text(header: Header) -> str:
    """The tuning by its name, with its pitches where it is not the standard one."""
    tuning = header.instrument.tuning
    pitches = with_accidentals(" ".join(tuning.names))
    if tuning.name in ("", "standard"):
        return tuning.name or pitches
    return f"{tuning.name} ({pitches})"


def tempo_text(header: Header) -> str:
    """The tempo in counted beats a minute."""
    unit = "dotted " if header.meter.is_compound else ""
    name = {1: "whole notes", 2: "half notes", 4: "quarters", 8: "eighths", 16: "sixteenths", 32: "thirty-seconds"}
    counted = header.meter.denominator * header.meter.counts // header.meter.numerator
    if header.meter.is_compound:
        counted = header.meter.denominator // 2
    return f"{float(header.tempo):g} {unit}{name.get(counted, 'counts')} a minute"


def _about(timeline: Timeline, still_open: Markup) -> Markup:
    """All facts of a solo, and a place for what the site knows of it."""
    return html(
        '<section class="tt-foot" id="about" aria-label="About this transcription">'
        "<h2>About this transcription</h2>{facts}{more}</section>",
        facts=_facts(timeline, still_open),
        more=ABOUT_HERE,
    )


def _facts(timeline: Timeline, still_open: Markup) -> Markup:
    header = timeline.solo.header
    instrument = header.instrument
    minutes, seconds = divmod(round(timeline.seconds), 60)
    facts = (
        ("Player", header.player),
        ("Composer", header.composer),
        ("Recording", header.recording),
        ("Tuning", tuning_text(header)),
        ("Capo", f"fret {instrument.capo}, frets counted from it" if instrument.capo else ""),
        ("Reference", f"A4 = {instrument.reference:g} Hz" if instrument.reference != 440 else ""),
        ("Key", key_text(header)),
        ("Meter", str(header.meter)),
        ("Tempo", tempo_text(header)),
        ("Feel", str(header.feel) if header.feel.is_swung else ""),
        ("Length", f"{timeline.length_in_bars}, {minutes}:{seconds:02}"),
        ("Still open", still_open),
        ("Tags", ", ".join(header.tags)),
    )
    rows = Markup().join(
        html("<div><dt>{name}</dt><dd>{value}</dd></div>", name=name, value=value) for name, value in facts if value
    )
    return html('<dl class="tt-facts">{rows}</dl>', rows=rows)


def _draft_notice(subject: Subject, problems: Sequence[Problem], links: Links, is_open: bool) -> Markup:
    rows = Markup().join(
        html(
            "<li>{where}: {message}{more}</li>",
            where=_where(problem, subject, links),
            message=problem.message,
            more=html(" ({advice})", advice=problem.advice) if problem.advice else "",
        )
        for problem in problems
    )
    found = Markup()
    if rows:
        found += html("<p>What is still to be mended:</p><ul>{rows}</ul>", rows=rows)
    if is_open:
        found += html('<p>What is not certain yet is listed <a href="#{open}">below</a>.</p>', open=OPEN)
    return html(
        '<section class="tt-draft" id="{id}" aria-label="Draft"><h2>Draft</h2>'
        "<p>This transcription is unfinished.</p>{found}</section>",
        id=DRAFT,
        found=found or Markup("<p>The linter finds nothing.</p>"),
    )


def _where(problem: Problem, subject: Subject, links: Links) -> str:
    """The line, and a link to the bar that it is in."""
    if problem.path != subject.source.path:
        return "in the lesson"
    line = f"line {subject.source.locate(problem.span.start)[0]}"
    written = [bar for bar in subject.solo.bars if bar.span.start <= problem.span.start]
    number = problem.address.partition(".")[0] or (str(written[-1].number) if written else "")
    return html("{line}, {place}", line=line, place=links.place(Address(int(number)))) if number else line


def _readable(statement: Statement) -> str:
    """What a claim says, with the bars of other places in place of their addresses."""
    text = statement.text
    for place in statement:
        if isinstance(place, AddressRange) and "“" not in text:
            first, last = place.first.bar, place.last.bar
            text = text.replace(str(place), f"bar {first}" if first == last else f"bars {first}–{last}")
    return text


def _claim(text: str, timeline: Timeline, links: Links) -> Markup | None:
    """A claim as a link to the first note it speaks of; None where it cannot be read or found."""
    try:
        claim = read_claim(text, passages=timeline.solo.passages)
        notes = notes_at(timeline, claim.range)
    except (ClaimError, PlaceError):
        return None
    if not notes:
        return None
    first, last = claim.range.first, claim.range.last
    whole = first.count is None
    address = str(first.bar) if whole else f"{first.bar}.{notes[0].address.count}"
    if first.stroke is not None:
        address = str(notes[0].address)
    where = f"bar {first.bar}" if first.bar == last.bar else f"bars {first.bar}–{last.bar}"
    if not claim.statements and not whole:
        where += f", count {first.count}"
    said = ", ".join(with_accidentals(_readable(statement)).replace(" > ", " to ") for statement in claim.statements)
    spoken_of = runs(note.index for note in notes)
    link = claim_link(links.anchors.get(address, f"b{first.bar}"), where, said, spoken_of)
    is_passage = whole or (first.bar, first.count) != (last.bar, last.count)
    return link + html('<span class="tt-with-loop"> {loop}</span>', loop=loop_link(claim.range)) if is_passage else link
