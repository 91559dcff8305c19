"""Patches made in a real browser: git and `tabtools apply` take them, whatever is corrected."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product
from pathlib import Path

import pytest
from browser import watched
from corrections import REPEATED, git_takes, reading, repository_of, taken
from drawn import SOLOS
from git_repositories import BETTER, DUSK, SOLO, new_repository
from playwright.sync_api import Browser
from thoroughness import IS_THOROUGH, crossed, share

from tabtools.review.patch import read_patch, suggestion
from tabtools.source import visible
from tabtools.website.scripts import module

pytestmark = pytest.mark.browser

# ---- from the page to the commit


def test_a_corrected_bar_becomes_a_commit(browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 2")
        assert reader.text.input_value() == DUSK[DUSK.index("bar 2") :].rstrip("\n")
        reader.replace("2:6 2:8", "2:6 2:10")
        reader.say(credit="Nell Quayle", at="0:42.3", reason="The tape has\n\n  the higher note: --- really.")
        patch = reader.make()
        assert reader.focused == "suggest-result"
    assert patch == suggestion(
        DUSK, BETTER, SOLO, "Nell Quayle", "The tape has\n\n  the higher note: --- really.", "0:42.3"
    )
    repository = repository_of(tmp_path)
    message = taken(repository, patch, monkeypatch)
    assert repository.read() == BETTER
    for part in ("> The tape has\n>\n> the higher note", "In the recording at 0:42.3.", "Suggested-by: Nell Quayle"):
        assert part in message


NAMES = ("transcriptions/dämmerung am steg.solo", "transcriptions/夕 'x' $(y).solo")
EDITS = [("Bar 1", "3:5 3:7", "3:5 3:9"), ("Bar 2", "1:10 1:8", "1:10 1:7"), ("The header", "126", "120")]


@pytest.mark.parametrize(
    ("path", "place", "old", "new", "end"),
    [(path, *edit, end) for (path, edit), end in crossed([*product(NAMES, EDITS)], ("\n", ""))],
)
def test_first_and_last_lines_and_any_name(
    browser: Browser,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    path: str,
    place: str,
    old: str,
    new: str,
    end: str,
) -> None:
    text = DUSK.rstrip("\n") + end
    with reading(browser, tmp_path, text, path) as reader:
        reader.choose(place)
        reader.replace(old, new)
        patch = reader.make()
    repository = repository_of(tmp_path, text, path)
    git_takes(repository, patch)
    assert repository.read(path) == text.replace(old, new)
    repository.git("checkout", "--", ".")
    taken(repository, patch, monkeypatch)
    assert repository.read(path).rstrip("\n") == text.replace(old, new).rstrip("\n")


def test_several_bars_go_into_one_patch(browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 5")
        reader.text.fill("bar 5  Dm7\n\n# quiet\n1-4  3:7~  \n\n")
        reader.choose("Bar 4, like bar 2")
        reader.replace("like 1-2", "like 1-1")
        reader.choose("Bar 1")
        reader.replace("1:8 1:7", "1:8 1:10")
        changes = reader.page.locator(".tt-suggest-change").inner_text()
        patch = reader.make()
        reader.choose("Bar 5")
        assert reader.text.input_value() == "bar 5  Dm7\n\n# quiet\n1-4  3:7~  \n\n"
    assert [line for line in changes.splitlines() if line.startswith("Bar")] == ["Bar 1", "Bars 3 to 4", "Bar 5"]
    expected = REPEATED.replace("1:8 1:7", "1:8 1:10").replace("like 1-2", "like 1-1")
    expected = expected.replace("bar 5\n1-4  .\n", "bar 5  Dm7\n\n# quiet\n1-4  3:7~\n")
    repository = repository_of(tmp_path, REPEATED)
    taken(repository, patch, monkeypatch)
    assert repository.read() == expected


CHANGE_EVERY_BAR = """
() => {
  const [choice, text, form] = ["[name=place]", "#suggest-text", ".tt-suggest-form"].map(
    (one) => document.querySelector(one));
  const press = (name) => document.querySelector(`[data-suggest="${name}"]`).click();
  const write = (value) => {
    text.value = value;
    text.dispatchEvent(new Event("input", {bubbles: true}));
  };
  return [...choice.options].map((option) => {
    choice.value = option.value;
    press("open");
    write(`${text.value}  # heard`);
    form.requestSubmit();
    const patch = document.querySelector(".tt-suggest-patch").value;
    press("reset");
    return [option.text, patch];
  });
}
"""


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_every_bar_of_the_demos_can_be_corrected(browser: Browser, tmp_path: Path, path: Path) -> None:
    text, name = path.read_text(encoding="utf-8"), f"transcriptions/{path.name}"
    with reading(browser, tmp_path, text, name) as reader:
        drawn = reader.page.locator(".tt-tab .tt-bar").count()
        patches = reader.page.evaluate(CHANGE_EVERY_BAR)
    assert len(patches) == drawn + 1
    repository = repository_of(tmp_path, text, name)
    assert all(read_patch(patch.encode(), "transcriptions").path == name for _, patch in patches)
    for place, patch in patches if IS_THOROUGH else patches[::4]:
        git_takes(repository, patch)
        changed = repository.read(name)
        assert changed.count("# heard") == 1, place
        assert changed.replace("  # heard", "") == text
        git_takes(repository, patch, "--reverse")


# ---- the patch itself

PATCHES = "(cases) => {{ {code}\nreturn cases.map(([data, text, said]) => patchOf(data, text, said)); }}"
REFUSED = (
    "() => {{ {code}\nreturn [...Array(0x110000).keys()].filter((one) => HIDDEN.test(String.fromCodePoint(one))); }}"
)
CODE = module("correction_form/patch.js").text
PIECES = [
    "",
    "bar 1",
    "1  3:7",
    "-- ",
    "--- a/x",
    "+++ b/x",
    "@@ -1 +1 @@",
    " x",
    "é\x0cñ",
    "\\ No newline at end of file",
]
WORDS = ["diff --git a/x b/x", "--- a/x", "\n", "\r\n", "Reason: ", "é", " ", "\t", "\x1b", "\u202e", "\u2028", "\x85"]


def drawn_text(chance: random.Random, pieces: Sequence[str], most: int) -> str:
    lines = [chance.choice(pieces) for _ in range(chance.randrange(1, most))]
    return "\n".join(lines) + chance.choice(["", "\n"])


def edited(chance: random.Random, text: str) -> str:
    """The text with some lines taken out, put in or changed."""
    lines = text.split("\n")
    for _ in range(chance.randrange(1, 6)):
        at = chance.randrange(len(lines) + 1)
        lines[at : at + chance.randrange(3)] = [chance.choice(PIECES) for _ in range(chance.randrange(3))]
    return "\n".join(lines)


TEXTS = 150


def test_git_takes_whatever_the_page_makes(browser: Browser, tmp_path: Path) -> None:
    chance = random.Random(6)
    texts = [drawn_text(chance, PIECES, 40) for _ in range(share(TEXTS))]
    pairs = [(old, edited(chance, old)) for old in texts]
    pairs = [(old, new) for old, new in pairs if old and new and old != new]
    said = [{name: drawn_text(chance, WORDS, 6) for name in ("credit", "at", "reason")} for _ in pairs]
    frame = suggestion("", "\n", SOLO).partition("@@ ")[0].partition("\n\n")
    data = [{"opening": frame[0], "names": frame[2], "text": old} for old, _ in pairs]
    with watched(browser) as page:
        cases = [[facts, new, words] for facts, (_, new), words in zip(data, pairs, said, strict=True)]
        made = page.evaluate(PATCHES.format(code=CODE), cases)
    repository = new_repository(tmp_path)
    place = repository.folder / SOLO
    place.parent.mkdir()
    for patch, (old, new), words in zip(made, pairs, said, strict=True):
        assert patch.partition("diff --git")[0] == suggestion("", "\n", SOLO, **words).partition("diff --git")[0]
        for text in (patch, read_patch(patch.encode(), "transcriptions").text):
            place.write_bytes(old.encode())
            git_takes(repository, text, "--whitespace=nowarn")
            assert place.read_bytes().decode() == new


def test_what_a_solo_may_not_hold_is_known_to_the_page(browser: Browser) -> None:
    with watched(browser) as page:
        refused = set(page.evaluate(REFUSED.format(code=CODE)))
    surrogates = set(range(0xD800, 0xE000))
    everything = set(range(0x110000)) - surrogates - {ord("\n"), ord("\t")}
    assert refused == {one for one in everything if visible(chr(one)) != chr(one)} | surrogates


def test_a_long_text_is_compared_soon(browser: Browser, tmp_path: Path) -> None:
    long = "\n".join(f"# {number}" for number in range(4_000))
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 1")
        reader.paste(f"bar 1  Dm7\n{long}\n1-4  .")
        assert reader.page.get_by_text("and 3965 lines more").is_visible()
        patch = reader.make()
    repository = repository_of(tmp_path)
    git_takes(repository, patch)
    assert "# 3999\n1-4  .\n\nbar 2" in repository.read()
