"""tabtools annotate --lesson: what is drafted passes lint."""

from __future__ import annotations

from pathlib import Path

from invoked import SOUND, tabtools, write


def test_the_draft_passes_lint(folder: Path) -> None:
    write(folder, low_tide=SOUND)
    result = tabtools("annotate", "--lesson", "low-tide.solo")
    assert result.status == 0
    assert result.err == ""
    assert "`@1.1.1 D4, 4 of Am`" in result.out
    (folder / "low-tide.md").write_text(result.out, encoding="utf-8")
    assert tabtools("lint", "low-tide.solo", "--select", "claim").status == 0
    (folder / "low-tide.md").write_text(result.out.replace("D4, 4", "D4, 5"), encoding="utf-8")
    assert tabtools("lint", "low-tide.solo", "--select", "claim").status == 1


def test_it_is_the_whole_solo_as_markdown(folder: Path) -> None:
    write(folder, low_tide=SOUND)
    for option in (("--bars", "1"), ("--hands",), ("--phrases",), ("--format", "json")):
        result = tabtools("annotate", "--lesson", "low-tide.solo", *option)
        assert (result.status, result.out) == (2, "")
        assert "leave out --bars, --hands, --phrases and --format" in result.err


def test_unclear_addresses_are_refused(folder: Path) -> None:
    write(folder, low_tide=SOUND + "\nbar 1\n1-4  3:5\n")
    result = tabtools("annotate", "--lesson", "low-tide.solo")
    assert (result.status, result.out) == (2, "")
    assert result.err == (
        "tabtools: no lesson can be drafted: bar 1 stands after bar 1; mend what tabtools lint reports\n"
    )
