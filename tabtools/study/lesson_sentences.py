"""Sentences of a drafted lesson: what a device says of itself, put into running text."""

from __future__ import annotations

import re

from tabtools.study.devices.wording import NUMBERS

_ENCLOSED = re.compile(r"\S+ and \S+ enclose ")
_RETURN = re.compile(r"(?P<notes>\S+ notes?) as in (?P<rest>.*)")
_BROKEN = re.compile(r"(?P<chords>.+?) broken\b(?P<rest>.*)")
_SHIFT = "from position "
_LIKE = ("as in ", "the same as in ", "begins as in ")
_ANSWER = "answer: begins "
_MANY = re.compile(rf"((double stops|power chords|(\w+ )?harmonics|guide tones)\b|({'|'.join(NUMBERS[2:])}|[0-9]+) )")
_AN = re.compile(r"[AEF]|[aeio]")


def as_clause(said: str) -> str | None:
    """A sentence without its full stop, where a device says one of itself or nearly does; otherwise None."""
    returned = _RETURN.match(said)
    if returned:
        said = f"{returned['notes']} {'is' if returned['notes'] == 'one note' else 'are'} as in {returned['rest']}"
    elif broken := _BROKEN.match(said):
        said = f"{broken['chords']} {'are' if ' and ' in broken['chords'] else 'is'} broken{broken['rest']}"
    elif said.startswith(_SHIFT):
        said = f"the hand goes {said}"
    elif said.startswith(_LIKE):
        said = f"it {said if said.startswith('begins') else f'is {said}'}"
    elif said.startswith(_ANSWER):
        said = f"it answers: it begins {said.removeprefix(_ANSWER)}"
    elif not (said.startswith(("the bass ", "the open ")) or _ENCLOSED.match(said)):
        return None
    return said[:1].upper() + said[1:]


def lead(said: str, is_first: bool, begins: bool, ends: bool, goes_on: bool) -> str:
    """What stands before a thing that is named: `First comes an ` before `A7 arpeggio`.

    `is_first` where it is the first thing told of a stretch, `begins` where it begins with the stretch, `ends` where it
    ends with it, `goes_on` where it goes on behind it.
    """
    is_several = bool(_MANY.match(said))
    if goes_on:
        verb = f"Here begin{'' if is_several else 's'}"
    elif is_first and begins and ends:
        verb = "All of it is"
    elif is_first and begins:
        verb = f"First come{'' if is_several else 's'}"
    elif ends and not is_first:
        verb = "It ends with"
    else:
        verb = f"{'In it' if is_first else 'Then'} come{'' if is_several else 's'}"
    if is_several or said.startswith(("the ", "tremolo ")):
        return f"{verb} "
    return f"{verb} {'an' if _AN.match(said) else 'a'} "
