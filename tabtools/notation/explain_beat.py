"""Syntax errors of beat lines, in musicians' words."""

from __future__ import annotations

import re

from tabtools.notation.explain_moves import after_move
from tabtools.notation.explain_pitch import pitch_advice
from tabtools.notation.explanation import Explanation, ReadingStop, Rule, leading, quoted
from tabtools.notation.marks import MARKS

NOTE_EXAMPLES = "a number, x for a dead note or <12> for a harmonic, like 3:7"
SLOT_EXAMPLES = (
    "a slot is string:fret (3:7), a move on the same string (h9), - for a hold, . for a rest, or a ( group )"
)
_WORDS_FOR_REST = {"rest", "pause", "silence", "r"}
_WORDS_FOR_HOLD = {"hold", "tie", "tied", "sustain", "held"}


# ---- the count -----------------------------------------------------------------------------------------------


def _count(stop: ReadingStop) -> Explanation | None:
    if not re.fullmatch(r"\s*[0-9]+(-[0-9]*)?\??", stop.before):
        return None
    written = (stop.before + stop.word).strip()
    if stop.before.endswith("?") and stop.word:
        advice = "one ? behind the count says that its rhythm is not known; a space stands behind it"
        return Explanation(f"{quoted(written)} is no count", advice, 0)
    if re.match(r":[0-9x<]", stop.here) and "-" not in stop.before:
        return Explanation(
            "a beat line starts with its count",
            "write the count, a space, then the notes, like 1  3:7",
            len(stop.before) - len(stop.before.lstrip()),
        )
    if stop.before.endswith("-"):
        return Explanation(f"{quoted(written)} is no run of counts", "write the first and the last, like 3-4", 0)
    if not stop.here.strip():
        return Explanation(
            "the count has no notes behind it", "write what is played, - for a held note or . for a rest"
        )
    if stop.word:
        return Explanation(f"{quoted(written)} is no count", "a count is a number or two, like 2 or 3-4", 0)
    return None


# ---- where a slot should begin ------------------------------------------------------------------------------


def _awaits_slot(stop: ReadingStop) -> bool:
    return "HOLD" in stop.awaited or "STRING" in stop.awaited


def _awaits_slot_around(stop: ReadingStop) -> bool:
    """Whether the whole word stands where a slot should: reading may have stopped behind its first letter."""
    return not re.search(r"\[[^\]]*$|\][ \t]*$", stop.before)


def _string_missing(stop: ReadingStop) -> Explanation | None:
    if not _awaits_slot(stop):
        return None
    if re.match(r"[0-9]+\s*:\s|[0-9]+\s+:", stop.here):
        return _spaced_colon(stop)
    if match := re.match(r"([0-9])[-.,;]([0-9]{1,2})(?![0-9.])", stop.here):
        return Explanation(
            f"{quoted(stop.word)} names no string",
            f"a colon stands between string and fret, like {match[1]}:{match[2]}",
        )
    if match := re.match(r"([1-9])\s+([0-9]{1,2})(?=\s|$)", stop.here):
        advice = f"write string and fret together, like {match[1]}:{match[2]}"
        return Explanation(f"{quoted(match[1])} names no string", advice)
    if match := re.match(r"<[0-9.]+>|x(?![\w:])|[0-9]+(?:\.[0-9]+)?(?=[\s)(~*?=[+hptbrw/\\<]|$)", stop.here):
        sign = match.group()
        place = f"{sign[0]}:{sign[1]}" if re.fullmatch(r"[3-9][0-9]|2[5-9]", sign) else f"3:{sign}"
        return Explanation(f"{quoted(sign)} names no string", f"write string and fret, like {place}")
    return None


def _spaced_colon(stop: ReadingStop) -> Explanation:
    return Explanation("a space stands between string and fret", "write them together, like 3:7")


def _group_start(stop: ReadingStop) -> Explanation | None:
    if not stop.here.startswith("("):
        return None
    if not _awaits_slot(stop):
        return Explanation("a group is a slot of its own", "put a space before the (")
    if "OPEN" not in stop.awaited:
        advice = "divide the time on fewer levels; weights (3:5*2) may help"
        return Explanation("groups nest more than three deep", advice)
    return None


def _word_for_slot(stop: ReadingStop) -> Explanation | None:
    """English words where a sign is meant."""
    slot = stop.slot.strip("(){},;")
    if not re.fullmatch(r"[A-Za-z]{2,}", slot) or not _awaits_slot_around(stop):
        return None
    start = stop.slot_offset
    if slot.lower() in _WORDS_FOR_REST | _WORDS_FOR_HOLD:
        advice = "write . for a rest" if slot.lower() in _WORDS_FOR_REST else "write - for a note that is held"
        return Explanation(f"{quoted(slot)} stands where a sign should", advice, start)
    if slot in MARKS:
        return Explanation(
            f"{quoted(slot)} is a mark and stands in square brackets", f"write it behind the note: 3:7[{slot}]", start
        )
    return Explanation(f"{quoted(slot)} is no note, hold or rest", SLOT_EXAMPLES, start)


def _loose_sign(stop: ReadingStop) -> Explanation | None:
    """What belongs to a note and stands alone."""
    if not _awaits_slot(stop) or stop.before[-1:].strip(" \t("):
        return None
    alone = {
        "~": ("the vibrato stands alone", "write it behind its note without a space, like 3:7~"),
        "*": ("the weight stands alone", "write it behind its slot without a space, like 3:7*3"),
        "=": ("what was heard is not readable", pitch_advice(stop.here[1:])),
        "+": ("the + joins nothing", "write the notes that sound together without spaces, like 3:7+2:8"),
        "[": ("marks cannot stand here", "write them behind the note, like 3:7[pm], or last on the line"),
        ")": ("there is a ) without its (", "open the group with ( or delete the )"),
        "|": ("bar lines are not drawn here", "each bar begins with a line of its own, like bar 5"),
    }
    if stop.here[:1] == ")" and stop.before.rstrip().endswith("("):
        return Explanation("the group is empty", "write the slots that share its time between ( and )")
    if stop.here[:1] not in alone:
        return None
    return Explanation(*alone[stop.here[:1]])


_PITCH_FOR_PLACE = re.compile(r"[A-G](?:##|bb|#|b)?-?[0-9](?=$|[?~+*\[=)\\/]|[hptbrw]+[=0-9])")


def _no_slot(stop: ReadingStop) -> Explanation | None:
    if not _awaits_slot(stop) or not stop.word:
        return None
    if match := _PITCH_FOR_PLACE.match(stop.word):
        pitch = match.group()
        advice = f"write ={pitch} while its place is open, or string and fret, like 3:7={pitch}"
        return Explanation(f"{quoted(pitch)} is a pitch, no place on the neck", advice)
    if re.match(r"[HPTBRWX]", stop.word):
        return _capitals(stop.word)
    if stop.before[-1:] == "+":
        return Explanation("the + joins nothing", "write the notes that sound together without spaces, like 3:7+2:8")
    return Explanation(f"{quoted(stop.word)} is no note, hold or rest", SLOT_EXAMPLES)


def _capitals(word: str) -> Explanation:
    return Explanation(f"{quoted(word)} is written in small letters here", f"write {word.lower()}")


# ---- within a note ------------------------------------------------------------------------------------------


def _fret(stop: ReadingStop) -> Explanation | None:
    """What should be a fret behind `3:`."""
    if not re.search(r"[0-9]:$", stop.before) or not stop.awaited & {"FRET", "DEAD"}:
        return None
    if stop.here.startswith("<"):
        return _touch(stop)
    if stop.here[:1] in " \t" and re.match(r"[ \t]+[0-9x<]", stop.here):
        return _spaced_colon(stop)
    found = leading(r"[^\s+)]*", stop.here)
    if found[:1] in ("X", "O"):
        return (
            _capitals(found)
            if found[0] == "X"
            else Explanation(f"{quoted(found)} is no fret", "an open string is 0: 3:0")
        )
    return Explanation(
        f"{quoted(found)} is no fret" if found else "the fret is missing after the string", f"write {NOTE_EXAMPLES}"
    )


def _touch(stop: ReadingStop) -> Explanation:
    return Explanation("the harmonic is not readable", "write the touched fret between < and >, like 4:<12> or 4:5<17>")


def _marks(stop: ReadingStop) -> Explanation | None:
    opened = stop.before.rfind("[")
    if opened <= stop.before.rfind("]"):
        return None
    if stop.here.startswith("]") and stop.before.rstrip().endswith("["):
        return Explanation("the brackets are empty", "write a mark, like [pm], or delete them", opened)
    if "]" not in stop.here:
        return Explanation("the marks are not closed", "write them like [pm] or [accent, down]", opened)
    return Explanation("the marks are not readable", "write words with commas between, like [accent, down]", opened)


def _after_marks(stop: ReadingStop) -> Explanation | None:
    if re.search(r"\s\[[^\]]*\]\s*$", stop.before) and stop.here.strip():
        opened = stop.before.rindex("[")
        if stop.here.lstrip().startswith("["):
            return Explanation("marks of the whole line stand in two pairs of brackets", "write [accent, down]", opened)
        advice = "write them behind a note without a space, like 3:7[pm], or at the end of the line for all of it"
        return Explanation("marks stand between two slots", advice, opened)
    return None


def _after_fret(stop: ReadingStop) -> Explanation | None:
    """What cannot follow where a note could have ended."""
    if not stop.before[-1:].strip() or not stop.word or _awaits_slot(stop):
        return None
    run = re.fullmatch(r"\s*([0-9]+)\s+(-[0-9]+)(?:\s.*)?", stop.line)
    if run and len(stop.before) == run.start(2) + 1:
        advice = f"write a run of counts without spaces, like {run[1]}{run[2]}"
        return Explanation(f"{quoted(run[2])} is no slot", advice, run.start(2))
    if stop.before[-1] == ")" and stop.here[0] != "*":
        advice = "put a space behind the group; a weight has a *, like (3:7 3:5)*3"
        return Explanation(f"{quoted(stop.word)} runs into the group", advice)
    if re.search(r"[-.]$", stop.before) and re.search(r"(^|[\s(])[-.]+$", stop.before):
        sign = quoted(stop.before[-1] + stop.word)
        advice = "put a space between slots: - goes on sounding, . is silent"
        return Explanation(f"{sign} runs together", advice, len(stop.before) - 1)
    if re.match(r"[0-9]*:", stop.here) and re.search(r"[0-9]$", stop.before):
        return Explanation("two notes run together", "a space makes them follow each other, a + sound together")
    if re.search(r"\*[0-9]+$", stop.before):
        advice = "write how many shares the slot takes, a whole number up to 64: 3:9*3"
        return Explanation("the weight is not readable", advice, stop.before.rindex("*"))
    if stop.before[-1] == "x" and re.match(r"[0-9<]", stop.here):
        return Explanation("a dead note has no fret", "write 3:x, or the fret alone, like 3:7")
    if stop.here.startswith("="):
        return Explanation("what was heard is not readable", pitch_advice(stop.here[1:]))
    for pattern, message, advice in _FOLLOWERS:
        if match := re.match(pattern, stop.here):
            return Explanation(message.format(quoted(match.group())), advice)
    if re.match(r"[HPTBRWX]", stop.here):
        return _capitals(stop.word)
    if re.match(r"[a-z^>]|->", stop.here):
        message = f"{quoted(stop.word)} is no move"
        return Explanation(message, "the moves are h p / \\ t b r w, each with its fret, and ~ for vibrato")
    advice = "put a space between slots; a comment starts with a space and a #"
    return Explanation(f"{quoted(stop.word)} cannot stand behind a note", advice)


_FOLLOWERS = (
    (r"\)", "there is a ) without its (", "open the group with ( or delete the )"),
    (r"\]", "there is a ] without its [", "open the marks with [ or delete the ]"),
    (r"<", "the harmonic is not readable", "write the touched fret between < and >, like 4:<12> or 4:5<17>"),
    (r">", "there is a > without its <", "write the touched fret between < and >, like 4:<12> or 4:5<17>"),
    (r"\?", "the other reading is not readable", "write ? alone, or ? with another place, like 3:9?4:14"),
    (r"[hptbrw/\\][0-9]|pb", "moves come before =, ? and marks", "write moves first, like 3:7b9=E4[accent]"),
    (
        r"\*[0-9]*[.*/]?",
        "the weight is not readable",
        "write how many shares the slot takes, a whole number up to 64: 3:9*3",
    ),
    (r"\+", "the + joins nothing", "write the notes that sound together without spaces, like 3:7+2:8"),
    (r"[0-9]", "a fret has too many figures", "write it like 3:12 or b9.5"),
    (r"\.[0-9]", "a fret has one decimal point", "write it like 3:12 or b9.5"),
    (r"[,|;&/]", "{} joins nothing", "a space makes notes follow each other, a + sound together"),
    (r"[-.]", "{} is a slot of its own", "put a space before it"),
    (r"\[", "marks cannot stand here", "write them behind the note, like 3:7[pm], or last on the line"),
)


def _other_reading(stop: ReadingStop) -> Explanation | None:
    if move := re.search(r"(?:^|[\s(+])([hptbrw/\\])\?([0-9]{1,2})$", stop.before + leading("[0-9]*", stop.here)):
        advice = (
            f"write {move[1]}{move[2]}? where the note is not certain; how it is played can be doubted in a # comment"
        )
        return Explanation(f"a ? stands between {quoted(move[1])} and its fret", advice, stop.before.rindex("?"))
    if not re.search(r"\?([0-9]+:)?[0-9]*$", stop.before) or not stop.before[-1:].strip():
        return None
    if stop.before.endswith("??"):
        advice = "?? is a slot of its own, for a stretch that cannot be made out; it may have a weight, like ??*3"
        return Explanation("?? has something behind it", advice, len(stop.before) - 2)
    if re.search(r"(?:^|[\s(+])\?$", stop.before):
        advice = "another reading stands behind its note without a space, like 3:9?4:14"
        return Explanation("a ? that begins a slot is a note of its own", advice, len(stop.before) - 1)
    return Explanation(
        "the other reading is not readable",
        "write ? alone, or ? with another place, like 3:9?4:14",
        stop.before.rindex("?"),
    )


# ---- the end of the line ------------------------------------------------------------------------------------


def _breaks_off(stop: ReadingStop) -> Explanation | None:
    if stop.before.endswith("+") and not stop.word:
        return Explanation("the + joins nothing", "write the notes that sound together without spaces, like 3:7+2:8")
    if stop.here.strip():
        return None
    if stop.line.count("(") > stop.line.count(")"):
        return Explanation("a group is not closed", "write the missing )", stop.line.rindex("("))
    if _awaits_slot(stop):
        return Explanation("the line breaks off", "write what is played, - for a held note or . for a rest")
    return None


def _on_beat_lines(rule: Rule) -> Rule:
    return lambda stop: rule(stop) if re.match(r"\s*[0-9]", stop.line) else None


BEAT_RULES: tuple[Rule, ...] = tuple(
    map(
        _on_beat_lines,
        (
            _count,
            _marks,
            _other_reading,
            _fret,
            _word_for_slot,
            after_move,
            _group_start,
            _string_missing,
            _loose_sign,
            _after_marks,
            _breaks_off,
            _after_fret,
            _no_slot,
        ),
    )
)
