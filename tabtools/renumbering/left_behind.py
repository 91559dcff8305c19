"""What a lesson still says by the numbers that bars had before a change."""

from __future__ import annotations

from collections.abc import Collection

from tabtools.checks.claim import check_lesson
from tabtools.checks.subject import Subject
from tabtools.notation.claim_addresses import ClaimAddresses
from tabtools.renumbering.by_hand import unchanged_lines
from tabtools.renumbering.carried import carried_claim, carried_lesson
from tabtools.renumbering.plan import Plan
from tabtools.review.change import Comparison
from tabtools.review.consequences import OldNumbers
from tabtools.source import SourceText, Span, from_text


def left_behind(
    slug: str, comparison: Comparison, before: SourceText, lesson: SourceText, after: Subject, false: Collection[Span]
) -> OldNumbers:
    """What of the lines that stand as they did `before` the bars' new numbers would change; of `false` claims, where
    they hold."""
    numbers = comparison.bar_numbers
    if all(old == new for old, new in numbers.items()):
        return OldNumbers()
    plan = Plan(frozenset(), (), numbers)
    found = carried_lesson(lesson, slug, True, plan, unchanged_lines(before, lesson))
    words = tuple((one.line, one.text, one.why) for one in found.left if one.is_words)
    return OldNumbers(found.claims, found.links, words, _places(plan, lesson, after, false))


def _places(plan: Plan, lesson: SourceText, after: Subject, false: Collection[Span]) -> dict[Span, str]:
    """Where false claims hold, as far as they do with the numbers that their bars have now."""
    reader = ClaimAddresses()
    carried = ((span, carried_claim(lesson.text[span.start : span.end], reader, plan)) for span in sorted(false))
    moved = [(span, text) for span, text in carried if text is not None]
    trial = from_text("".join(f"`{text}`\n" for _, text in moved))
    still_false = {trial.locate(finding.span.start)[0] for finding in check_lesson(trial, after)}
    places = {}
    for line, (span, text) in enumerate(moved, 1):
        addresses = reader.of(text) if line not in still_false else None
        if addresses:
            places[span] = str(addresses[0].range)
    return places
