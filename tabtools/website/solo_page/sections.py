"""Everything a page says of a solo beyond its tab and its lesson, put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from tabtools.hand import Hand
from tabtools.hand.strain import strains_of
from tabtools.study import Study
from tabtools.study.open_things import OpenThing
from tabtools.study.telling import most_told
from tabtools.timeline.places import passages_with_notes
from tabtools.website.links import Links
from tabtools.website.solo_page.hand_demands import demands_html
from tabtools.website.solo_page.neck_maps import neck_maps
from tabtools.website.solo_page.note_records import in_words, known_html, label_switch, tone_legend
from tabtools.website.solo_page.open_legend import open_legend
from tabtools.website.solo_page.open_section import open_html
from tabtools.website.solo_page.sign_legend import sign_legend
from tabtools.website.solo_page.strain_strip import strain_strip
from tabtools.website.solo_page.study_section import StudySections, device_rows, statistics_html


@dataclass(frozen=True, slots=True)
class Sections:
    """The choices of how the tab is seen; HTML that stands right under it; what stands after the lesson."""

    view: Markup
    under: Markup
    study: StudySections


def sections_of(study: Study, hand: Hand, links: Links, things: Sequence[OpenThing] = ()) -> Sections:
    """What is known of a solo, and of the things that are open in it."""
    timeline = study.timeline
    passages = list(passages_with_notes(timeline))
    strains = strains_of(hand) if any(timed.string for timed in timeline.notes) else ()
    return Sections(
        label_switch(study),
        tone_legend(study.labels) + sign_legend(timeline) + open_legend(timeline) + known_html(study, hand),
        StudySections(
            open_html(things, links),
            device_rows(study, links),
            most_told(len(timeline.bars)),
            neck_maps(study, passages, links)
            + demands_html(hand, passages, links, strain_strip(strains, links))
            + statistics_html(study.statistics)
            + in_words(),
        ),
    )
