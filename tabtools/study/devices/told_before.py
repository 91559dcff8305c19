"""What is told word for word of a passage that comes again: the return says it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from tabtools.study.devices import returning_figure, variation
from tabtools.study.devices.device import Device
from tabtools.study.music import Music
from tabtools.timeline.places import notes_at, range_named


def told_before(music: Music, devices: Sequence[Device]) -> frozenset[int]:
    """The places in a row of devices of those that explain notes as the same notes of an earlier stretch are explained.

    That is where a returning figure or a variation says that the stretch comes again as it was.
    """
    known = {(device.kind, device.sentence, device.notes) for device in devices if device.main}
    returns: dict[int, list[Mapping[int, int]]] = {}
    for one in _returns(music, devices):
        for note in one:
            returns.setdefault(note, []).append(one)
    return frozenset(
        place
        for place, device in enumerate(devices)
        if device.main
        and any(
            (device.kind, device.sentence, _there(device, one)) in known for one in returns.get(device.notes[0], ())
        )
    )


def _returns(music: Music, devices: Iterable[Device]) -> Iterator[Mapping[int, int]]:
    """For each stretch that comes again as it was, the earlier note of each of its notes."""
    timeline = music.melody.timeline
    for device in devices:
        data = device.data
        is_return = device.kind == returning_figure.KIND and data["semitones"] == 0 and data["same_rhythm"]
        stretch = range_named(data["as_in"]) if is_return or _is_again(device) else None
        if stretch:
            source = [note.index for note in notes_at(timeline, stretch) if note.midi is not None]
            own = [note for note in device.notes if timeline.notes[note].midi is not None]
            if len(source) == len(own):
                yield dict(zip(own, source, strict=True))


def _is_again(device: Device) -> bool:
    return device.kind == variation.KIND and device.data["how"] == "again"


def _there(device: Device, earlier: Mapping[int, int]) -> tuple[int, ...]:
    """The notes that were there what these are here; none where not all of them come again."""
    return tuple(earlier[note] for note in device.notes) if earlier.keys() >= set(device.notes) else ()
