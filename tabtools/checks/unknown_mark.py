"""A word in square brackets that is no mark, or a mark that says too much or too little.

Marks are a closed list, so that everything downstream can rely on them: pm, ring, stacc, accent, ghost, down, up,
roll, rake, trem, trill, pinch, swell, lh and rh. `trill` names the other fret, `lh` a fretting finger (1 to 4 or T),
`rh` a plucking one (p, i, m, a, c). Anything else belongs in a comment.

Passes:

    bar 1  Am
    1-2  3:7[pm, down] 3:5[trill 7]
    3-4  2:5[lh 1] [ring]

Fails:

    bar 1  Am
    1-4  3:7[palm]
"""

from collections.abc import Iterator
from difflib import get_close_matches

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import in_a_row
from tabtools.model.solo import Address, Mark
from tabtools.notation.marks import MARKS, accepts
from tabtools.problem import Severity

NAME = "unknown-mark"
SEVERITY = Severity.ERROR

_NEAR = 0.7


def check(subject: Subject) -> Iterator[Finding]:
    """The marks of notes, then those of whole lines."""
    for timed in subject.written_notes:
        for mark in timed.note.marks:
            if not accepts(mark):
                yield _finding(mark, timed.address)
    for bar in subject.timeline.bars:
        if bar.like is None:
            for line in bar.written.lines:
                for mark in line.marks:
                    if not accepts(mark):
                        yield _finding(mark, Address(bar.number, line.first))


def _finding(mark: Mark, address: Address) -> Finding:
    kind = MARKS.get(mark.word)
    if kind is None:
        near = _nearest(mark)
        advice = f"did you mean {near}?" if near else f"the marks are {', '.join(MARKS)}; the rest fits in a # comment"
        return Finding(mark.span, f"there is no mark “{mark}”", advice, address)
    if not kind.arguments:
        return Finding(mark.span, f"the mark {mark.word} takes nothing behind it", f"write [{mark.word}]", address)
    missing = f"“{mark.argument}” does not fit the mark {mark.word}" if mark.argument else ""
    if kind.arguments == ("fret",):
        wanted = f"write the fret it {mark.word}s with, like {mark.word} 12"
    else:
        wanted = f"write {mark.word} with {in_a_row(kind.arguments, 'or')}"
    return Finding(mark.span, missing or f"the mark {mark.word} is not complete", wanted, address)


def _nearest(mark: Mark) -> str:
    """The mark whose name or meaning comes nearest."""
    words = {name: name for name in MARKS} | {kind.meaning: name for name, kind in MARKS.items()}
    text = str(mark).lower()
    if near := get_close_matches(text, words, 1, _NEAR) or get_close_matches(mark.word.lower(), words, 1, _NEAR):
        return words[near[0]]
    return next((name for meaning, name in words.items() if len(text) > 3 and meaning.startswith(text)), "")
