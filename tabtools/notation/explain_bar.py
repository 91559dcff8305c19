"""Syntax errors of `bar` and `bars` lines, in musicians' words."""

from __future__ import annotations

import re

from tabtools.notation.explanation import Explanation, ReadingStop, Rule, quoted

_EXAMPLES = {
    "bar": "bar 5  Dm7",
    "bars": "bars 9-12 like 1-4",
    "section": "section A  Verse",
    "passage": "passage 1.1-2.4  First phrase",
}
_MISSING = {
    "bar": "the bar's number is missing",
    "bars": "the numbers of the bars are missing",
    "section": "the section's letter is missing",
    "passage": "the addresses of the passage are missing",
}
_VALUES = {
    "at": ("the place in the recording", "write minutes and seconds, like at 0:42.3"),
    "meter": ("the meter", "write it like meter 7/8 or meter 12/8 in 4"),
    "tempo": ("the tempo", "write beats a minute, like tempo 96"),
    "free": ("the length of the free bar", "write seconds with an s, like free 4.5s"),
}


def bare_keyword(word: str) -> Explanation:
    """`bar`, `bars`, `section` or `passage` without what belongs behind it, or in capitals."""
    plain = word.lower()
    if word != plain:
        return Explanation(f"{quoted(word)} is written in small letters here", f"write it like {_EXAMPLES[plain]}")
    return Explanation(f"{_MISSING[plain]} after {plain}", f"write it like {_EXAMPLES[plain]}")


def _is_bar_line(stop: ReadingStop) -> bool:
    return re.match(r"\s*bars?\b", stop.line) is not None


def _number(stop: ReadingStop) -> Explanation | None:
    if not re.fullmatch(r"\s*bars?\s+[0-9]*", stop.before):
        return None
    keyword = stop.before.split()[0]
    if "INT" in stop.awaited:
        return bare_keyword(keyword)
    number = stop.before.split()[1]
    if re.match(r"\s+-\s*[0-9]", stop.here) or not stop.word.strip(",:.-"):
        return None if keyword == "bars" or "like" in stop.line else _behind_number(stop, number)
    if re.match(r"[-,][0-9]", stop.here) and keyword == "bar":
        return Explanation(
            "a bar line begins one bar", "give each bar its own line; to repeat bars write bars 5-6 like 1-2"
        )
    message = f"{quoted(number + stop.word)} is no bar number"
    return Explanation(message, f"write a space, then the chords, like bar {number}  Dm7")


def _behind_number(stop: ReadingStop, number: str) -> Explanation:
    message = f"{quoted(stop.here.split()[0])} cannot stand behind the bar's number"
    return Explanation(message, f"write a space, then the chords, like bar {number}  Dm7")


def _like(stop: ReadingStop) -> Explanation | None:
    words = stop.line.split()
    is_repeat = words[0] == "bars" or "like" in words
    is_behind = re.search(r"\blike\s+[0-9]", stop.before) and not re.match(r"[-,0-9]", stop.word)
    if not is_repeat or is_behind:
        return None
    if "like" not in words:
        return Explanation("bars repeats music already written", "write it like bars 9-12 like 1-4")
    return Explanation("the bars to repeat are not readable", "write them without spaces, like bars 9-12 like 1-4")


def _behind_like(stop: ReadingStop) -> Explanation | None:
    """A line that repeats bars takes chords and nothing else."""
    if not re.search(r"\blike\s+[0-9]+(-[0-9]+)?\s", stop.before + stop.here[:1]):
        return None
    word = stop.here.split()[0] if stop.here.split() else ""
    if word == "like":
        return Explanation("like stands twice on this line", "repeat one stretch a line, like bars 9-12 like 1-4")
    if word in _VALUES:
        message = f"{quoted(word)} cannot stand on a line that repeats bars"
        return Explanation(message, "only chords can; write the bar out where more changes")
    return None


def _range_in_bar(stop: ReadingStop) -> Explanation | None:
    if re.fullmatch(r"\s*bar\s+[0-9]+-[0-9]+\s*", stop.before):
        return Explanation(
            "a bar line begins one bar", "give each bar its own line; to repeat bars write bars 5-6 like 1-2"
        )
    return None


def _value(stop: ReadingStop) -> Explanation | None:
    """What stands behind at, meter, tempo and free."""
    tail = re.search(r"\b(at|meter|tempo|free)(?:\s+[0-9:./s]*(?:\s+in\s*)?)?$", stop.before)
    if tail is not None and (stop.before[-1:].strip() or not stop.awaited >= {"CHORD"}):
        word = tail[1]
    elif match := re.match(r"(at|meter|tempo|free)\b", stop.here):
        word = match[1]
    elif re.match(r"in\b", stop.here) and re.search(r"\bmeter\s+\S+\s+$", stop.before):
        word = "meter"
    else:
        return None
    what, advice = _VALUES[word]
    is_missing = not stop.here.removeprefix(word).strip()
    return Explanation(f"{what} is {'missing' if is_missing else 'not readable'}", advice)


def _chord(stop: ReadingStop) -> Explanation | None:
    if doubt := re.fullmatch(
        r"(.*\s)?(?:\?([A-G]\S*)|([A-G][^\s@?]*)(@[0-9.]+&?)?\s*\?(@[0-9.]+&?)?)", stop.before + stop.word
    ):
        chord, moment = doubt[2] or doubt[3], doubt[4] or doubt[5] or ""
        return Explanation(
            "the ? does not stand behind its chord", f"write {chord}?{moment} for one that is not certain"
        )
    if re.match(r"\?+(@\S*)?(\s|$)", stop.here) and not stop.before[-1:].strip():
        advice = "leave out a chord that is not heard yet, and the one before goes on; write NC where none is played"
        return Explanation(f"{quoted(stop.word)} is no chord", advice)
    if stop.here.startswith("@") and not stop.before[-1:].strip():
        message = f"{quoted(stop.word)} stands without its chord"
        return Explanation(message, "write them together, like A7@3")
    if stop.here.startswith("@") or re.search(r"@\S*$", stop.before):
        at = stop.slot.rindex("@")
        advice = "write the count a chord holds from, like A7@3 or A7@4&"
        return Explanation(f"{quoted(stop.slot[at:])} is no count", advice, stop.slot_offset + at)
    if "CHORD" not in stop.awaited or not stop.word:
        return None
    if re.match(r"[0-9]+(-[0-9]+)?$", stop.word) or re.match(r"[0-9]+:", stop.word):
        return Explanation("notes cannot stand on the bar's line", "write each count with its notes on a line below")
    if re.match(r"[a-g]([#b]?($|[m0-9])|sus|maj|add|dim|aug)", stop.word):
        chord = stop.word[0].upper() + stop.word[1:]
        return Explanation(f"{quoted(stop.word)} is no chord", f"chords start with a capital letter: write {chord}")
    return Explanation(
        f"{quoted(stop.word)} is neither a chord nor at, meter, tempo or free",
        "write it like bar 5  Dm7@1 G7@3; the notes stand on the lines below",
    )


def _anything_else(stop: ReadingStop) -> Explanation | None:
    if stop.word:
        return Explanation(f"{quoted(stop.slot)} cannot stand on a bar's line", "write it like bar 5  Dm7@1 G7@3")
    return None


def _on_bar_lines(rule: Rule) -> Rule:
    return lambda stop: rule(stop) if _is_bar_line(stop) else None


BAR_RULES: tuple[Rule, ...] = tuple(
    map(_on_bar_lines, (_range_in_bar, _number, _behind_like, _like, _value, _chord, _anything_else))
)
