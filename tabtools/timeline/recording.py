"""Where in its recording a solo is at each moment."""

from __future__ import annotations

from bisect import bisect_right

from tabtools.timeline.records import Timeline


class RecordingClock:
    """The recording of a solo by the marks of its bars (`at 0:42.3`).

    Between two marks the bars fill the time there is; before the first and after the last they go by the tempo. A mark
    that is not later than the one before it is left out.
    """

    def __init__(self, timeline: Timeline):
        self._played: list[float] = []
        self._recorded: list[float] = []
        for bar in timeline.bars:
            if bar.at is None:
                continue
            at = float(bar.at)
            if not self._recorded or (at > self._recorded[-1] and bar.start > self._played[-1]):
                self._played.append(bar.start)
                self._recorded.append(at)

    def at(self, seconds: float) -> float | None:
        """Seconds of the timeline as seconds of the recording, never below 0; None for a solo without marks."""
        played, recorded = self._played, self._recorded
        if not played:
            return None
        after = bisect_right(played, seconds)
        if after in (0, len(played)):
            nearest = max(0, after - 1)
            return max(0.0, recorded[nearest] + seconds - played[nearest])
        share = (seconds - played[after - 1]) / (played[after] - played[after - 1])
        return recorded[after - 1] + share * (recorded[after] - recorded[after - 1])
