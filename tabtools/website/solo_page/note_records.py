"""What a page knows of every note beyond its drawing: other labels, finger, role and rule, for the page's script.

The records run parallel to the drawn notes. Which devices and claims speak of a note stands where these are written,
in their `data-notes`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.hand import Hand
from tabtools.hand.hand import Fingered
from tabtools.hand.position import roman
from tabtools.study import Labels, Role, Study
from tabtools.website.markup import html
from tabtools.website.records import NoteRecord, inlined, listed

NOTABLE_CENTS = 25
STYLES = {"plain": "plain (♭3, 2)", "extended": "extended (♯9, 9)"}
FINGERS = {
    "0": "open string",
    "tap": "tapped by the other hand",
    "T": "thumb",
    "1": "finger 1",
    "2": "finger 2",
    "3": "finger 3",
    "4": "finger 4",
}


def printed_path(path: Sequence[str]) -> str:
    """Degrees on the way as they are printed: `1›2`, `♭3↑`."""
    printed = [_printed(one) for one in path]
    return "›".join(one for one, later in pairwise([*printed, ""]) if later.rstrip("↑↓") != one)


def over_chord(labels: Labels) -> str:
    """The degree over the chord; over the key, in brackets, where there is no chord."""
    text = printed_path(labels.path or labels.key_path)
    return f"({text})" if text and not labels.path else text


def over_key(labels: Labels) -> str:
    """The degree over the key."""
    return printed_path(labels.key_path)


def note_name(labels: Labels) -> str:
    """The name without its octave, both ends of a bend."""
    if labels.pitch is None:
        return ""
    ends = (labels.attack_pitch, labels.pitch) if len(labels.path or labels.key_path) > 1 else (labels.pitch,)
    names = [with_accidentals((end or "").split("+")[0].rstrip("-0123456789")) for end in ends]
    return "›".join(dict.fromkeys(names))


def known_html(study: Study, hand: Hand) -> Markup:
    """The records as JSON for the script, with the switches and the panel that the script brings to life."""
    records = [
        listed(_record(labels, role, fingered, other))
        for labels, role, fingered, other in zip(study.labels, study.roles, hand.notes, study.other_labels, strict=True)
    ]
    return html(
        '<aside class="tt-known" aria-label="The chosen note" hidden><div class="tt-known-bar">'
        '<button type="button" data-go="-1">Note before</button>'
        '<button type="button" data-go="1">Note after</button>'
        '<button type="button" data-loop="from">Loop from here</button>'
        '<button type="button" data-loop="to">Loop to here</button>'
        '<button type="button" data-go="0">Close</button></div>'
        '<div class="tt-known-said" role="status"></div></aside>'
        '<script type="application/json" class="tt-records">{inlined}</script>',
        inlined=inlined(records),
    )


def label_switch(study: Study) -> Markup:
    """The choice of what stands under the notes and over the strings."""
    kinds = (
        ("chord", f"degree, {STYLES[study.style]}"),
        ("other", f"degree, {STYLES[study.other_style]}"),
        ("key", "degree over the key"),
        ("name", "note name"),
        ("digit", "finger"),
        ("fret", "nothing"),
    )
    options = Markup().join(
        html('<option value="{value}">{said}</option>', value=value, said=said) for value, said in kinds
    )
    return html(
        '<div class="tt-view" role="group" aria-label="How the tab is seen">'
        '<label><span>Under the notes</span> <select name="under">{options}</select></label>'
        '<label><input type="checkbox" name="staff"> Staff</label>'
        '<label><span>Size</span> <select name="size"><option value="small">small tab</option>'
        '<option value="medium" selected>medium tab</option><option value="large">large tab</option>'
        "</select></label></div>",
        options=options,
    )


def tone_legend(labels: Sequence[Labels]) -> Markup:
    """What the shapes under the notes say, and the brackets where some stand there."""
    marks = Markup().join(
        html(
            '<li><svg width="16" height="12" aria-hidden="true">'
            '<use href="#tt-tone-{shape}" x="8" y="4"/></svg> {said}</li>',
            shape=shape,
            said=said,
        )
        for shape, said in (("chord", "chord tone"), ("scale", "extension or scale note"), ("chromatic", "chromatic"))
    )
    in_brackets = next((over_chord(one) for one in labels if one.key_path and not one.path), "")
    if in_brackets:
        marks += html("<li>{sign} over the key, as no chord sounds</li>", sign=in_brackets)
    return html('<ul class="tt-legend tt-tones" aria-label="Under the degrees">{marks}</ul>', marks=marks)


def in_words() -> Markup:
    """Where the script lists every bar in words."""
    return Markup(
        '<section class="tt-words" aria-labelledby="words" data-search-exclude><h2 id="words">The tab in words</h2>'
        '<details class="tt-in-words"><summary>Every bar, note by note</summary><ol></ol></details></section>'
    )


def _record(labels: Labels, role: Role, fingered: Fingered, other: Labels) -> NoteRecord:
    finger, position = _finger(fingered)
    return NoteRecord(
        over_chord(labels),
        over_key(labels),
        note_name(labels),
        role.kind,
        role.rule,
        with_accidentals(role.said),
        finger,
        position,
        over_chord(other),
        "›".join(one for one, _ in groupby((fingered.finger, *fingered.then))),
    )


def _finger(fingered: Fingered) -> tuple[str, str]:
    said = FINGERS.get(fingered.finger, "")
    if said and fingered.then:
        said += ", then " + ", ".join(FINGERS.get(one, one) for one in fingered.then)
    return said, f"position {roman(fingered.position)}" if fingered.position else ""


def _printed(degree: str) -> str:
    """`b3` as `♭3`; cents that the ear notices as an arrow up or down, `b3+50c` as `♭3↑`."""
    name, sign, cents = degree, "", ""
    for mark in "+-":
        if mark in degree:
            name, _, cents = degree.partition(mark)
            sign = "↑" if mark == "+" else "↓"
    notable = cents and int(cents.rstrip("c")) >= NOTABLE_CENTS
    return name.replace("b", "♭").replace("#", "♯") + (sign if notable else "")
