"""The record of what a note does."""

from __future__ import annotations

from typing import Literal, NamedTuple, get_args

from tabtools.study.backing import ToneClass

RoleKind = Literal[
    "chord tone",
    "extension",
    "scale note",
    "passing tone",
    "neighbour tone",
    "enclosure",
    "approach",
    "anticipation",
    "bend target",
    "outside",
    "unclear",
    "no pitch",
    "not known",
]

ROLE_KINDS: tuple[RoleKind, ...] = get_args(RoleKind)


class Role(NamedTuple):
    """What a note does.

    `kind` is the role, `rule` the name of the rule that decided it, `sentence` what that says of this note. `tone` is
    what the pitch is over the chord whatever the line does (empty where nothing says). `target` is the index, in the
    timeline, of the note that an enclosure or an approach leads to. `uncertain` where the transcriber or the rule is.
    """

    kind: RoleKind
    rule: str
    tone: ToneClass
    sentence: str
    target: int | None = None
    uncertain: bool = False

    @property
    def said(self) -> str:
        """The sentence, with the doubt where there is one that it does not speak of itself."""
        return f"{self.sentence} (uncertain)" if self.uncertain and self.kind != "not known" else self.sentence


SILENT = Role("no pitch", "no pitch", "", "a dead note")
NOT_KNOWN = Role("not known", "not known", "", "its pitch is not known yet", uncertain=True)
NOT_HEARD = Role("not known", "not heard", "", "what is played here is not known yet", uncertain=True)
