"""Which elements of one sequence are those of another: the most alike; in long ones what is unique holds fast."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Hashable, Sequence

Pair = tuple[int, int]
Likeness = Callable[[int, int], float]
"""Two indices to how much the elements are alike; 0 where they cannot be the same."""

MOST_CELLS = 2500
"""How many pairs of a gap are weighed; longer gaps are divided first by what is unique, or recurs, in one order."""


def pairs_in_order(
    old: Sequence[Hashable], new: Sequence[Hashable], likeness: Likeness, is_steady: Callable[[int, int], bool]
) -> list[Pair]:
    """Pairs of indices, rising on both sides. Near-linear for what is mostly equal, bounded for what is not.

    `is_steady` says of two equal elements that they also bear the same name: of several equal ones, those do.
    """
    found: list[Pair] = []
    gaps = [(0, len(old), 0, len(new))]
    while gaps:
        a, b, c, d = gaps.pop()
        while a < b and c < d and old[a] == new[c] and is_steady(a, c):
            found.append((a, c))
            a, c = a + 1, c + 1
        while a < b and c < d and old[b - 1] == new[d - 1]:
            b, d = b - 1, d - 1
            found.append((b, d))
        if a == b or c == d:
            continue
        if (b - a) * (d - c) <= MOST_CELLS:
            found.extend(most_alike((a, b, c, d), likeness))
            continue
        anchors = _unique(old, new, (a, b, c, d)) or _recurring(old, new, (a, b, c, d))
        if not anchors:
            found.extend((i, j) for i, j in zip(range(a, b), range(c, d), strict=False) if likeness(i, j))
            continue
        found.extend(anchors)
        starts = [(a - 1, c - 1), *anchors]
        ends = [*anchors, (b, d)]
        gaps.extend((i + 1, k, j + 1, m) for (i, j), (k, m) in zip(starts, ends, strict=True))
    return sorted(found)


def rising(pairs: Sequence[Pair]) -> list[Pair]:
    """The longest run of pairs, given in the order of their first index, whose second index rises too."""
    tails: list[int] = []
    at: list[int] = []
    before: list[int] = []
    for index, (_, second) in enumerate(pairs):
        length = bisect_left(tails, second)
        before.append(at[length - 1] if length else -1)
        tails[length : length + 1] = [second]
        at[length : length + 1] = [index]
    chain = []
    index = at[-1] if at else -1
    while index >= 0:
        chain.append(pairs[index])
        index = before[index]
    return chain[::-1]


def _unique(old: Sequence[Hashable], new: Sequence[Hashable], gap: tuple[int, int, int, int]) -> list[Pair]:
    """What stands once on either side of a gap, as far as it stands in the same order."""
    a, b, c, d = gap
    once_old = Counter(old[a:b])
    once_new = Counter(new[c:d])
    places = {new[j]: j for j in range(c, d) if once_new[new[j]] == 1}
    return rising([(i, places[old[i]]) for i in range(a, b) if once_old[old[i]] == 1 and old[i] in places])


def _recurring(old: Sequence[Hashable], new: Sequence[Hashable], gap: tuple[int, int, int, int]) -> list[Pair]:
    """The first, second, third … time an element stands in a gap, as far as these stand in the same order."""
    a, b, c, d = gap
    counted: Counter[Hashable] = Counter()
    places: dict[tuple[Hashable, int], int] = {}
    for j in range(c, d):
        counted[new[j]] += 1
        places[new[j], counted[new[j]]] = j
    counted.clear()
    pairs = []
    for i in range(a, b):
        counted[old[i]] += 1
        place = places.get((old[i], counted[old[i]]))
        if place is not None:
            pairs.append((i, place))
    return rising(pairs)


def most_alike(gap: tuple[int, int, int, int], likeness: Likeness) -> list[Pair]:
    """The pairs in order of greatest likeness in sum."""
    a, b, c, d = gap
    width = d - c + 1
    best = [[0.0] * width for _ in range(b - a + 1)]
    alike = [[likeness(i, j) for j in range(c, d)] for i in range(a, b)]
    for i in range(b - a - 1, -1, -1):
        row, below, own = best[i], best[i + 1], alike[i]
        for j in range(d - c - 1, -1, -1):
            paired = own[j] + below[j + 1] if own[j] else 0.0
            row[j] = max(paired, below[j], row[j + 1])
    pairs = []
    i = j = 0
    while i < b - a and j < d - c:
        if alike[i][j] and best[i][j] == alike[i][j] + best[i + 1][j + 1]:
            pairs.append((a + i, c + j))
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return pairs
