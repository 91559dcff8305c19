"""The pages that lead on: all solos, all checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from types import ModuleType

from tabtools.timeline import Timeline
from tabtools.website.pages import key_text, tempo_text, tuning_text

FACTS = ("Key", "Meter", "Tempo", "Tuning", "Tags")


@dataclass(frozen=True, slots=True)
class Listed:
    """A solo as the index names it; `href` leads from the index to its page."""

    href: str
    timeline: Timeline
    slug: str


def solos_index(listed: Sequence[Listed]) -> str:
    """The body of the index of all solos, by title."""
    if not listed:
        return "<h1>Solos</h1><p>There are no solos yet.</p>"
    ordered = sorted(listed, key=lambda one: (one.timeline.solo.header.title.casefold(), one.slug))
    rows = "".join(_row(one) for one in ordered)
    heads = "".join(f'<th scope="col">{name}</th>' for name in ("Solo", *FACTS))
    count = f"{len(listed)} solo{'s' * (len(listed) != 1)}"
    return (
        f"<h1>Solos</h1><p>{count}, transcribed by ear, with the degree of every note.</p>"
        '<div class="tt-index" role="region" aria-label="Solos" tabindex="0">'
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _row(one: Listed) -> str:
    header = one.timeline.solo.header
    title = f'<a href="{escape(one.href)}">{escape(header.title or one.slug)}</a>'
    draft = " <span>(draft)</span>" if header.draft else ""
    player = f"<br><small>{escape(header.player)}</small>" if header.player else ""
    summary = f"<br><small>{escape(header.summary)}</small>" if header.summary else ""
    cells = (
        key_text(one.timeline),
        str(header.meter),
        tempo_text(one.timeline).removesuffix(" a minute"),
        tuning_text(one.timeline),
        ", ".join(header.tags),
    )
    return (
        f'<tr><th scope="row">{title}{draft}{player}{summary}</th>'
        + "".join(f'<td data-name="{name}">{escape(cell)}</td>' for name, cell in zip(FACTS, cells, strict=True))
        + "</tr>"
    )


def checks_index(checks: Sequence[ModuleType]) -> str:
    """The Markdown of the check reference's first page."""
    rows = "\n".join(
        f"| [{check.NAME}]({check.NAME}.md) | {check.SEVERITY} | {_first_sentence(check)} |"
        for check in sorted(checks, key=lambda check: check.NAME)
    )
    return (
        "# Checks\n\n"
        "What `tabtools lint` looks for. Each check has a page with an example that passes and one that fails;\n"
        "`tabtools explain NAME` shows the same. An error keeps a solo from being published, a warning wants a look,\n"
        "a note informs. A comment `# allow NAME: reason` silences one check on a line, a bar or a file.\n\n"
        f"| Check | Severity | Finds |\n|---|---|---|\n{rows}\n"
    )


def check_page(check: ModuleType) -> str:
    """The Markdown of a check's own page, from its docstring."""
    first, _, rest = (check.__doc__ or "").partition("\n")
    silenced = "It cannot be silenced.\n" if hasattr(check, "ALWAYS_ON") else ""
    return f"# {check.NAME}\n\n**{first}** Severity: {check.SEVERITY}. {silenced}\n{rest}\n"


def _first_sentence(check: ModuleType) -> str:
    return (check.__doc__ or "").partition("\n")[0].replace("|", "\\|")
