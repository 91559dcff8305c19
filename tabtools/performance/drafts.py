"""A voice while it is being played, and the moves that its pitch makes."""

from __future__ import annotations

from dataclasses import dataclass, field

from tabtools.performance.records import CurvePoint, CurveShape, Strike, Swell, Vibrato, Voice


@dataclass(slots=True)
class VoiceDraft:
    """A `Voice` that goes on."""

    string: int
    start: float
    end: float
    strikes: list[Strike] = field(default_factory=list)
    curve: list[CurvePoint] = field(default_factory=list)
    vibrato: list[Vibrato] = field(default_factory=list)
    swells: list[Swell] = field(default_factory=list)
    fades_from: float | None = None

    @property
    def pitch(self) -> float:
        """Where the curve has come to."""
        return self.curve[-1].pitch

    def go(self, moment: float, pitch: float, shape: CurveShape) -> None:
        """Be at a pitch at a moment, never before what was there already."""
        since = self.curve[-1].moment if self.curve else moment
        self.curve.append(CurvePoint(max(since, moment), pitch, shape))

    def hold(self, moment: float) -> None:
        """Stay at the pitch until a moment."""
        if moment > self.curve[-1].moment:
            self.go(moment, self.pitch, CurveShape.JUMP)

    def arrive(self, moment: float, pitch: float, shape: CurveShape, longest: float) -> None:
        """Be at a pitch at a moment, on the way for at most half of the time since its last change."""
        room = max(0.0, moment - self.curve[-1].moment)
        self.hold(moment - min(longest, room / 2))
        self.go(moment, pitch, shape)

    def finished(self) -> Voice | None:
        """The voice as far as it sounds; None where it has no time to."""
        end = self.end
        strikes = tuple([strike for strike in sorted(self.strikes) if strike.moment < end])
        if end <= self.start or not strikes:
            return None
        curve = tuple([point._replace(moment=min(point.moment, end)) for point in self.curve])
        vibrato = tuple([one._replace(end=min(one.end, end)) for one in self.vibrato if one.start < end])
        swells = tuple([swell for swell in self.swells if swell.start < end])
        fades_from = self.fades_from if self.fades_from is None else min(self.fades_from, end)
        return Voice(self.string, self.start, end, strikes, curve, vibrato, swells, fades_from)
