"""The reference of all checks."""

from __future__ import annotations

from collections.abc import Sequence
from types import ModuleType

from tabtools.checks.manual import manual_of


def checks_index(checks: Sequence[ModuleType]) -> str:
    """The Markdown of the check reference's first page."""
    rows = "\n".join(
        f"| [{check.NAME}]({check.NAME}.md) | {check.SEVERITY.word} | {_first_sentence(check)} |"
        for check in sorted(checks, key=lambda check: check.NAME)
    )
    return (
        "# Checks\n\n"
        "What `tabtools lint` looks for. Each check has a page with an example that passes and one that does not;\n"
        "`tabtools explain NAME` shows the same. An error keeps a solo from being published, a warning wants a look,\n"
        "a remark informs. A comment `# allow NAME: reason` silences one check on a line, a bar or a file.\n\n"
        f"| Check | Severity | Finds |\n|---|---|---|\n{rows}\n"
    )


def check_page(check: ModuleType) -> str:
    """The Markdown of a check's own page, from its docstring."""
    first, _, rest = manual_of(check).partition("\n")
    silenced = "It cannot be silenced.\n" if hasattr(check, "ALWAYS_ON") else ""
    return f"# {check.NAME}\n\n**{first}** Severity: {check.SEVERITY.word}. {silenced}\n{rest}\n"


def _first_sentence(check: ModuleType) -> str:
    return (check.__doc__ or "").partition("\n")[0].replace("|", "\\|")
