"""The header compared field by field: a new tuning is one change, however many notes it moves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from tabtools.model.instrument import STANDARD
from tabtools.model.solo import Field, Solo
from tabtools.notation.header import read_header
from tabtools.problem import Problem
from tabtools.review.change import Change, ChangeSite, Kind, Part
from tabtools.review.sequence import Pair, rising
from tabtools.review.writing import comments_text, field_text


def named_fields(solo: Solo) -> Iterator[tuple[tuple[str, int], Field]]:
    """Each field under its name and how many of that name there are by then: a file may give one twice."""
    seen: Counter[str] = Counter()
    for field in solo.fields:
        seen[field.name] += 1
        yield (field.name, seen[field.name]), field


def _field_pairs(old: Solo, new: Solo) -> list[Pair]:
    """Indices of the fields of one name; of several with one name the first goes with the first."""
    places = {key: index for index, (key, _) in enumerate(named_fields(new))}
    return [(index, places[key]) for index, (key, _) in enumerate(named_fields(old)) if key in places]


def compare_fields(old: Solo, new: Solo) -> Iterator[Change]:
    """What changed in the header. A value written otherwise that says the same is layout."""
    pairs = _field_pairs(old, new)
    in_order = set(rising(pairs))
    kept, come = {i for i, _ in pairs}, {j for _, j in pairs}
    for i, field in enumerate(old.fields):
        if i not in kept:
            yield _field_change(field.name, ChangeSite(field=i), field, None)
    for i, j in pairs:
        before, after = old.fields[i], new.fields[j]
        site = ChangeSite(field=i, new_field=j)
        if before.value != after.value:
            yield _field_change(before.name, site, before, after)
        if before.comments != after.comments:
            texts = comments_text(before.comments), comments_text(after.comments)
            both = before.comments, after.comments
            yield Change((Kind.COMMENT,), Part.COMMENTS, site, None, None, *texts, *both, name=before.name)
        if (i, j) not in in_order:
            texts = field_text(before), field_text(after)
            yield Change((Kind.LAYOUT,), Part.ORDER, site, None, None, *texts, name=before.name)
    for j, field in enumerate(new.fields):
        if j not in come:
            yield _field_change(field.name, ChangeSite(new_field=j), None, field)


def _field_change(name: str, site: ChangeSite, before: Field | None, after: Field | None) -> Change:
    says = _says(before), _says(after)
    kind = Kind.LAYOUT if says[0] is not None and says[0] == says[1] else Kind.HEADER
    was, now = (field_text(field) if field else "" for field in (before, after))
    return Change((kind,), Part.FIELD, site, None, None, was, now, before, after, name=name)


def _says(field: Field | None) -> object:
    """What a field says, whichever way it says it; None where it cannot be read. No field says its default."""
    problems: list[Problem] = []
    header = read_header((field,) if field else (), "", problems)
    if problems:
        return None
    tuning = header.instrument.tuning
    return tuning.midi, replace(header, instrument=replace(header.instrument, tuning=STANDARD))
