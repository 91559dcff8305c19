"""What follows from a correction, in words and for programs: the lint, claims, links from elsewhere, the hands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence

from tabtools.hand.strain import KINDS
from tabtools.problem import Problem, Severity
from tabtools.reports.change_summary import bars_in_words
from tabtools.reports.open_words import OPEN_CHECKS
from tabtools.review.consequences import BarEffort, Consequences, Effort, OldNumbers
from tabtools.review.references import Fate, Touched
from tabtools.source import is_number, visible
from tabtools.wording import plural, several


def consequences_in_words(found: Consequences) -> Iterator[tuple[str, list[str]]]:
    """(title, lines): lines that could not be read, claims that became false, what else a lint says, links, hands."""
    if found.unread:
        yield "could not be read before", [visible(f"line {line}: {text}") for line, text in found.unread]
    moved = found.old_numbers.holds_at
    come = [problem for problem in found.appeared if problem not in found.false_claims]
    for title, problems in (
        ("no longer true in the lesson", [one for one in found.no_longer_true if one.span not in moved]),
        ("turned out not true in the lesson", found.turned_out_false),
        ("not true in the lesson (new)", found.never_true),
        ("new findings", findings(come)),
        ("findings mended", findings(found.settled)),
    ):
        if problems:
            yield title, list(_counted_alike(map(problem_in_words, problems)))
    if found.old_numbers:
        yield "the lesson goes by the old numbers", list(_old_numbers_in_words(found.old_numbers))
    for title, problems in (("open now", open_things(come)), ("no longer open", open_things(found.settled))):
        if problems:
            yield title, list(_open_in_words(problems))
    if found.references:
        yield "links from other pages", [reference(one) for one in found.references]
    hands = [_effort(effort) for effort in found.efforts] + [_bar_effort(bar) for bar in found.bars]
    if hands:
        yield "for the hands", hands


def _old_numbers_in_words(found: OldNumbers) -> Iterator[str]:
    counts = [several(number, name) for number, name in ((found.claims, "claim"), (found.links, "link")) if number]
    if counts:
        yield f"{' and '.join(counts)}: tabtools bars renumber takes them along"
    if found.holds_at:
        first, *others = [place for _, place in sorted(found.holds_at.items())]
        which = f"the first at {first}" if others else f"at {first}"
        yield f"{several(len(found.holds_at), 'claim')} not true there, and true by the new numbers: {which}"
    for line, words, now in found.words:
        yield f"line {line}, “{words}”: {now}"


MOST_OPEN = 3
"""Of one kind of open things that are told one by one; what happened to each stands with the changes."""
_OPEN = {
    "open-place": "notes without a place on the neck",
    "open-pitch": "notes and stretches that are not heard",
    "open-rhythm": "counts whose rhythm is not known",
    "open-chord": "chords that are not certain",
}


def findings(problems: Sequence[Problem]) -> list[Problem]:
    """What is to be mended: all but what is only open."""
    return [problem for problem in problems if not _is_open(problem)]


def open_things(problems: Sequence[Problem]) -> list[Problem]:
    """What is not known for certain yet, which breaks nothing."""
    return [problem for problem in problems if _is_open(problem)]


def _is_open(problem: Problem) -> bool:
    return problem.check in OPEN_CHECKS and problem.severity is Severity.NOTE


def _open_in_words(problems: Sequence[Problem]) -> Iterator[str]:
    """Open things one by one, many of one kind in one line with their bars."""
    kinds: dict[str, list[Problem]] = {}
    for problem in problems:
        kinds.setdefault(problem.check, []).append(problem)
    for check, some in kinds.items():
        if check in _OPEN and len(some) > MOST_OPEN:
            yield f"{len(some)} {_OPEN[check]}{_in_bars(some)}"
        else:
            yield from map(_placed_message, some)


def _in_bars(problems: Sequence[Problem]) -> str:
    bars = sorted({int(bar) for problem in problems if is_number(bar := problem.address.partition(".")[0])})
    return f" ({bars_in_words(bars)})" if bars else ""


def _placed_message(problem: Problem) -> str:
    place = f"{problem.address} " if problem.address and problem.address not in problem.message else ""
    if is_number(problem.address):
        place = "" if f"bar {problem.address}" in problem.message else f"bar {problem.address}: "
    return f"{place}{problem.message}"


def _counted_alike(rows: Iterable[str]) -> Iterator[str]:
    """Each row once, with how often it stands: `a ? stands behind the last reading (error, syntax), 2 times`."""
    for row, times in Counter(rows).items():
        yield f"{row}, {times} times" if times > 1 else row


def problem_in_words(problem: Problem) -> str:
    """`2.2.1 is an uncertain reading (remark, unsure-reading)`: one finding in a line."""
    return f"{_placed_message(problem)} ({problem.severity.word}, {problem.check})"


_EFFORTS = {
    "reach": ("widest reach", "{:.0f} mm"),
    "shift": ("quickest shift", "{:.0%} of the time there is"),
    "bend": ("widest bend", "{:g} {semitones}"),
    "picked": ("fastest picking", "{:.1f} notes a second"),
    "legato": ("fastest legato", "{:.1f} notes a second"),
    "tapped": ("fastest tapping", "{:.1f} notes a second"),
    "all": ("fastest playing", "{:.1f} notes a second"),
}


def _effort(effort: Effort) -> str:
    name, form = _EFFORTS[effort.what]
    was, now = (
        "none" if one is None else form.format(one, semitones=plural("semitone", one))
        for one in (effort.was, effort.now)
    )
    return f"{name}: {was} → {now}" + (f" (at {effort.at})" if effort.at else "")


def _bar_effort(bar: BarEffort) -> str:
    verb = "is harder" if bar.now.strain > bar.was.strain else "is easier"
    what = KINDS[bar.now.what or bar.was.what]
    return f"bar {bar.now.bar} {verb}: {bar.was.strain:.0%} → {bar.now.strain:.0%} of what hands can do ({what})"


def lint_in_short(found: Consequences) -> str:
    """`5 findings before, 4 after: 1 new, 2 gone; 3 open things before, 3 after: the same`; empty where none are."""
    return "; ".join(filter(None, (_counted("finding", findings, found), _counted("open thing", open_things, found))))


def _counted(noun: str, kind: Callable[[Sequence[Problem]], list[Problem]], found: Consequences) -> str:
    before, after = len(kind(found.before)), len(kind(found.after))
    if not (before or after):
        return ""
    counted = (found.appeared, "new"), (found.settled, "gone"), (found.unseen, "in lines that cannot be read")
    differ = [f"{len(kind(some))} {what}" for some, what in counted if kind(some)]
    return f"{several(before, noun)} before, {after} after: {', '.join(differ) or 'the same'}"


_FATES = {
    Fate.GONE: "links to {slug}, which is gone",
    Fate.RENAMED: "links to {slug}, which is called {now} now",
    Fate.BAR_GONE: "links to bar {bar} of {slug}, which is gone",
    Fate.BAR_MOVED: "links to bar {bar} of {slug}, which is bar {now} now",
    Fate.BAR_CHANGED: "links to bar {bar} of {slug}, which is another now",
}


def reference(one: Touched) -> str:
    """`transcriptions/dawn.md, line 4: links to bar 5 of dusk, which is bar 6 now`."""
    path, line, slug, bar = one.reference
    return visible(f"{path}, line {line}: {_FATES[one.fate].format(slug=slug, bar=bar, now=one.now)}")


# ---- for a program


def consequences_record(found: Consequences) -> dict[str, object]:
    """Consequences as JSON shows them."""
    return {
        "appeared": [_problem_record(problem) for problem in found.appeared],
        "vanished": [_problem_record(problem) for problem in found.vanished],
        "false_claims": [_problem_record(problem) for problem in found.false_claims],
        "references": [_reference_record(one) for one in found.references],
        "old_numbers": {
            "claims": found.old_numbers.claims,
            "links": found.old_numbers.links,
            "words": [{"line": line, "text": words, "now": now} for line, words, now in found.old_numbers.words],
            "hold_at": sorted(found.old_numbers.holds_at.values()),
        },
        "lint": {
            "before": [_problem_record(problem) for problem in found.before],
            "after": [_problem_record(problem) for problem in found.after],
        },
        "hands": [
            {"what": one.what, "was": one.was, "now": one.now, "at": str(one.at) if one.at else None}
            for one in found.efforts
        ],
        "bars": [
            {"bar": one.now.bar, "old_bar": one.was.bar, "was": round(one.was.strain, 3),
             "now": round(one.now.strain, 3), "what": one.now.what}
            for one in found.bars
        ],
    }  # fmt: skip


def _problem_record(problem: Problem) -> dict[str, object]:
    return {
        "check": problem.check,
        "severity": str(problem.severity),
        "path": problem.path,
        "address": problem.address,
        "message": problem.message,
    }


def _reference_record(one: Touched) -> dict[str, object]:
    path, line, slug, bar = one.reference
    return {"path": path, "line": line, "slug": slug, "bar": bar, "fate": str(one.fate), "now": one.now or None}
