"""Everything the annotator knows of one solo, each part worked out when it is first asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from tabtools.hand import Hand
from tabtools.harmony.degrees import DegreeStyle
from tabtools.study.agreement import agreed, has_unexplained
from tabtools.study.devices import EXPLANATIONS, PLAYED
from tabtools.study.devices.device import Device
from tabtools.study.devices.run import devices_of
from tabtools.study.labels import Labels, labels_of
from tabtools.study.melody import Melody
from tabtools.study.music import Music, music_of
from tabtools.study.open_parts import OpenPart, open_parts
from tabtools.study.phrases import Phrase
from tabtools.study.resolutions import with_resolutions, with_suspensions
from tabtools.study.roles import Role, roles_of
from tabtools.study.statistics import Statistics, statistics_of
from tabtools.study.voice_roles import roles_in_voices
from tabtools.timeline import Timeline


@dataclass(frozen=True)
class Study:
    """A solo studied. `labels`, `roles` and `open_parts` run parallel to the notes of the timeline."""

    timeline: Timeline
    style: DegreeStyle = "plain"
    fingered: Hand | None = None

    @cached_property
    def music(self) -> Music:
        return music_of(self.timeline, self.fingered, self.style)

    @property
    def hand(self) -> Hand:
        """The solo as hands play it: what is told of positions here is what is told there."""
        return self.music.hand

    @property
    def melody(self) -> Melody:
        return self.music.melody

    @property
    def phrases(self) -> tuple[Phrase, ...]:
        return self.music.phrases

    @cached_property
    def open_parts(self) -> tuple[tuple[OpenPart, ...], ...]:
        return open_parts(self.timeline)

    @cached_property
    def labels(self) -> tuple[Labels, ...]:
        return labels_of(self.timeline, self.style)

    @property
    def other_style(self) -> DegreeStyle:
        return "extended" if self.style == "plain" else "plain"

    @cached_property
    def other_labels(self) -> tuple[Labels, ...]:
        """The labels in the other style."""
        return labels_of(self.timeline, self.other_style)

    @cached_property
    def roles(self) -> tuple[Role, ...]:
        find = roles_in_voices if self.music.bass else roles_of
        roles = with_suspensions(find(self.timeline, self.music, self.open_parts), self.music)
        roles = with_resolutions(roles, self.music.tune if self.music.bass else self.music)
        return agreed(roles, self.devices, self.open_parts, self.music) if has_unexplained(roles) else roles

    @cached_property
    def weighed(self) -> tuple[tuple[Device, float], ...]:
        """The devices, each with its worth in bits."""
        return devices_of(self.music, self.open_parts)

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        return tuple([device for device, _ in self.weighed])

    @cached_property
    def proposed(self) -> tuple[Device, ...]:
        """All that could be said of the phrases and of how they are played, whether it was chosen or not."""
        explaining = (proposal.tell() for module in EXPLANATIONS for proposal in module.find(self.music))
        played = (device for module in PLAYED for device in module.find(self.music))
        return (*explaining, *played)

    @cached_property
    def statistics(self) -> Statistics:
        return statistics_of(self.music, self.roles, self.devices)


def study_of(timeline: Timeline, style: DegreeStyle = "plain", hand: Hand | None = None) -> Study:
    """Study a solo; `hand` is how it is played, if that is known already. Pure; never raises for a readable solo."""
    return Study(timeline, style, hand)
