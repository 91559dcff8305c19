"""A reader's correction in a real browser: chosen, edited, made into a patch that git and `tabtools apply` take."""

from __future__ import annotations

import random
import subprocess
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from accessible import violations
from browser import opened, watched
from click.testing import CliRunner
from drawn import SOLOS
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository
from playwright.sync_api import Browser
from practised import write_tones
from suggested import Reader, reading

from tabtools.cli import main
from tabtools.review.patch import read_patch, suggestion
from tabtools.source import visible
from tabtools.website.suggesting import ASSETS

pytestmark = pytest.mark.browser

FORGE = "https://forge.example/new?title={title}&body={body}"
MAIL = "mailto:ida@slipway.example?subject={title}&body={body}"

REPEATED = f"{DUSK}\nbars 3-4 like 1-2\n\nbar 5\n1-4  .\n"


def repository_of(folder: Path, text: str = DUSK, path: str = SOLO) -> GitRepository:
    found = new_repository(folder / "solos", text if path == SOLO else DUSK)
    if path != SOLO:
        found.commit(text, "another", path)
    found.set("user.name", "Ida Marlow")
    found.set("user.email", "ida@slipway.example")
    return found


def git_takes(repository: GitRepository, patch: str, *arguments: str) -> None:
    done = subprocess.run(
        ["git", "apply", *arguments], cwd=repository.folder, env=ENVIRONMENT, input=patch.encode(),
        capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, (patch, done.stderr)


def taken(repository: GitRepository, patch: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The message of the commit that `tabtools apply` makes of a patch that git would take too."""
    git_takes(repository, patch, "--check")
    monkeypatch.chdir(repository.folder)
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    done = CliRunner().invoke(main, ["apply", "-", "--yes"], input=patch.encode(), catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    return repository.git("log", "-1", "--format=%B")


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


@pytest.mark.parametrize("path", ["transcriptions/dämmerung am steg.solo", "transcriptions/夕 'x' $(y).solo"])
@pytest.mark.parametrize(
    ("place", "old", "new"),
    [("Bar 1", "3:5 3:7", "3:5 3:9"), ("Bar 2", "1:10 1:8", "1:10 1:7"), ("The header", "126", "120")],
)
@pytest.mark.parametrize("end", ["\n", ""])
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
    for place, patch in patches:
        assert read_patch(patch.encode(), "transcriptions").path == name
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
CODE = (ASSETS / "patch.js").read_text(encoding="utf-8")
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


def test_git_takes_whatever_the_page_makes(browser: Browser, tmp_path: Path) -> None:
    chance = random.Random(6)
    texts = [drawn_text(chance, PIECES, 40) for _ in range(150)]
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


# ---- what is not sent


WRONG = [
    ("Bar 2", DUSK[DUSK.index("bar 2") :], "Nothing is changed yet."),
    ("Bar 2", DUSK[DUSK.index("bar 2") :].replace("\n", "  \n"), "Nothing is changed yet."),
    ("Bar 2", " \n", "There is nothing left."),
    ("The header", "", "There is nothing left."),
    ("Bar 2", "1-4  3:7", "The first line has to begin with “bar 2”"),
    ("Bar 2", "bar 3\n1-4  3:7", "The first line has to begin with “bar 2”"),
    ("Bar 2", "# bar 2\nbar 20\n1-4  3:7", "The first line has to begin with “bar 2”"),
    ("Bar 2", "bar 2\n1-4  3:7\nbar 5\n1-4  .", "Bar 5 stands in another place of the solo."),
    ("Bar 2", "bar 2\n1-4  3:7\nbars 6-7 like 1-2\nbar 7", "Bar 7 begins twice."),
    ("The header", "title: A\nbar 1\n1-4  .", "Bar 1 stands in another place of the solo."),
    ("Bar 4, like bar 2", "bar 4 like 2", "The first line has to begin with “bars 3-4”"),
    ("Bar 2", "bar 2\n1-4  3:\u202e7", "Line 2, behind “1-4  3:”, has a sign that cannot be seen and is not "
     "allowed (U+202E)."),
    ("Bar 2", "\u200ebar 2\n1-4  3:7", "Line 1 has a sign that cannot be seen and is not allowed (U+200E)."),
    ("Bar 2", f"bar 2\n1-4  3:7  # {'x' * 2000}", "Line 2 has 2012 characters; the most is 2000."),
    ("Bar 2", "bar 2\n" + f"# {'x' * 1990}\n" * 527 + "1-4  .", "The whole solo would be too long."),
]  # fmt: skip
"""A place, what is written there, what is said to it."""


def test_what_is_wrong_is_said_at_once(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        alert = reader.page.get_by_role("alert")
        back = reader.page.get_by_role("button", name="Back to how it was")
        for place, text, said in WRONG:
            reader.choose(place)
            reader.paste(text)
            assert reader.make() == ""
            assert reader.fault.startswith(said)
            assert reader.focused == "suggest-text"
            assert reader.text.get_attribute("aria-invalid") == "true"
            described = reader.text.get_attribute("aria-describedby") or ""
            assert alert.get_attribute("id") in described.split()
            reader.paste(f"{text} ")
            assert reader.fault == ""
            if back.is_enabled():
                back.click()


def test_a_fault_in_another_bar_leads_there(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 1")
        reader.text.fill("bar 2")
        reader.choose("Bar 5")
        reader.replace("1-4  .", "1-4  3:7")
        assert reader.make() == ""
        assert reader.page.get_by_role("heading", name="Bar 1").is_visible()
        assert reader.fault.startswith("The first line has to begin with “bar 1”")


def test_bars_split_out_of_a_repeat_are_taken(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 3, like bar 1")
        reader.text.fill("bar 3\n1-4  3:7\n\nbar 4 like 2")
        assert "+bar 4 like 2\n" in reader.make()


# ---- what the page says


def test_a_repeated_bar_leads_to_the_bar_it_repeats(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 4, like bar 2")
        assert reader.text.input_value() == "bars 3-4 like 1-2"
        said = reader.page.locator(".tt-suggest-repeats")
        assert "Bar 4 repeats bar 2: this is the line that says so. It stands for bars 3 to 4." in said.inner_text()
        reader.press("Correct bar 2 instead")
        assert reader.text.input_value().startswith("bar 2  G7")
        assert said.inner_text().strip() == "Bar 4 repeats this bar: what you correct here is corrected there too."
        reader.choose("Bar 5")
        assert said.is_hidden()


def test_the_bar_of_the_chosen_note_is_corrected(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.locator("[id='b2.2.1'] .fret").click(force=True)
        assert reader.page.locator("[name=place] option:checked").inner_text() == "Bar 2"
        reader.press("Suggest a correction")
        assert reader.focused == "suggest-place"
        assert reader.page.get_by_role("heading", name="Bar 2").is_visible()
        drawn = reader.page.locator(".tt-suggest-drawn .tt-bar")
        assert drawn.count() == 1 and drawn.locator(".fret").count() == 7
        assert drawn.locator("[id], .tt-chosen, .tt-now, .tt-cursor").count() == 0
        assert reader.page.locator("[id='b2.2.1']").count() == 1
        reader.page.locator(".tt-suggest").get_by_role("button", name="Close").click()
        assert reader.focused == "Suggest a correction"


@pytest.mark.parametrize(
    ("bar", "time"), [(1, "0:42.3"), (2, "0:44"), (4, "0:48"), (6, "0:52"), (7, "1:03.9"), (11, "1:12"), (12, "")]
)
def test_times_written_in_the_solo_are_filled_in(browser: Browser, tmp_path: Path, bar: int, time: str) -> None:
    marks = {1: "  at 0:42.3", 7: "  at 1:03.9"}
    bars = "".join(f"\nbar {number}{marks.get(number, '')}\n1-4  3:7\n" for number in range(1, 13))
    marked = f"title: A\nmeter: 4/4\ntempo: 120\n{bars}".replace("at 1:03.9", "at 1:03.9")
    with reading(browser, tmp_path, marked, SOLO) as reader:
        reader.choose(f"Bar {bar}")
        at = reader.page.locator(".tt-suggest [name=at]")
        if bar in (2, 4, 6):
            seconds = 42.3 + (63.9 - 42.3) * (bar - 1) / 6
            time = f"0:{seconds:02.0f}" if round(seconds) < 60 else f"1:{seconds - 60:02.0f}"
        assert at.input_value() == time
        at.fill("second take, 0:03")
        reader.choose("Bar 1")
        assert at.input_value() == "second take, 0:03"


def test_nothing_is_filled_in_where_no_time_is_written(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 1")
        assert reader.page.locator(".tt-suggest [name=at]").input_value() == ""
        assert reader.page.evaluate("[localStorage.length, document.cookie]") == [0, ""]


def test_the_place_in_an_opened_recording_is_filled_in(browser: Browser, tmp_path: Path) -> None:
    write_tones(tmp_path / "take.wav", [(220, 8)])
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.evaluate("document.querySelector('.tt-settings').open = true")
        reader.page.locator(".tt-practice [name=file]").set_input_files(tmp_path / "take.wav")
        reader.page.wait_for_function("tabtools.practice.player.recording.isLoaded")
        reader.page.evaluate("tabtools.practice.player.recording.shift = 2")
        reader.page.evaluate("tabtools.practice.player.move(3000)")
        reader.choose("Bar 2")
        assert reader.page.locator(".tt-suggest [name=at]").input_value() == "0:05"
        reader.choose("Bar 1")
        assert reader.page.locator(".tt-suggest [name=at]").input_value() == "0:02"


HOSTILE = "<img src=x onerror=alert(1)></script><script>alert(2)</script><!-- javascript:alert(3)"


def test_a_hostile_solo_arrives_as_text(browser: Browser, tmp_path: Path) -> None:
    text = DUSK.replace("Ferry at Dusk", HOSTILE).replace("3:7 3:9", f"3:7 3:9  # {HOSTILE}")
    with reading(browser, tmp_path, text, SOLO, FORGE) as reader:
        reader.choose("Bar 2")
        assert f"3:7 3:9  # {HOSTILE}" in reader.text.input_value()
        reader.text.fill(f"bar 2  G7\n1-4  3:7  # {HOSTILE}")
        reader.say(credit=HOSTILE, at=HOSTILE[:90], reason=f"{HOSTILE}\n--- a/x\n+++ b/x\ndiff --git a/x b/x")
        patch = reader.make()
        assert HOSTILE in reader.page.locator(".tt-suggest-change ins").last.inner_text()
        assert reader.page.locator(".tt-suggest :is(img, script:not([type='application/json']))").count() == 0
        href = reader.page.locator("[data-suggest=send]").get_attribute("href") or ""
    assert href.startswith("https://forge.example/new?title=Correction%20for%20%3Cimg")
    read = read_patch(patch.encode(), "transcriptions")
    assert (read.path, read.credit) == (SOLO, HOSTILE)


# ---- taken along


def test_a_patch_is_copied(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, permissions=["clipboard-read", "clipboard-write"]) as reader:
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        patch = reader.make()
        reader.press("Copy")
        reader.page.wait_for_function(
            "document.querySelector('.tt-suggest-said').textContent !== 'The patch is ready.'"
        )
        assert reader.said == "Copied."
        assert reader.page.evaluate("navigator.clipboard.readText()") == patch


@pytest.mark.parametrize(
    ("is_copied", "said"),
    [(True, "Copied."), (False, "The browser did not copy it. Choose the text below and copy it yourself.")],
)
def test_without_a_clipboard_the_text_is_chosen(browser: Browser, tmp_path: Path, is_copied: bool, said: str) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
        reader.page.evaluate("(done) => { document.execCommand = () => done; }", is_copied)
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        patch = reader.make()
        reader.press("Copy")
        reader.page.wait_for_function(
            "document.querySelector('.tt-suggest-said').textContent !== 'The patch is ready.'"
        )
        assert reader.said == said
        chosen = "one => [one.selectionStart, one.selectionEnd]"
        assert reader.page.locator(".tt-suggest-patch").evaluate(chosen) == [0, len(patch)]


def test_a_patch_is_saved(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, "transcriptions/dämmerung.solo") as reader:
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        reader.say(reason="Höher.")
        patch = reader.make()
        with reader.page.expect_download() as found:
            reader.press("Download")
        assert found.value.suggested_filename == "dämmerung-bar-2.patch"
        assert found.value.path().read_bytes().decode() == patch
        assert reader.said == "Saved as dämmerung-bar-2.patch."


def send(reader: Reader, reason: str = "The tape has it.") -> tuple[str, str]:
    """What the link says and where it leads; nothing where there is none."""
    reader.choose("Bar 2")
    reader.replace("2:6 2:8", "2:6 2:10")
    reader.say(reason=reason)
    assert reader.make()
    link = reader.page.locator("[data-suggest=send]")
    return (link.inner_text(), link.get_attribute("href") or "") if link.count() else ("", "")


def test_without_an_address_nothing_is_offered_to_be_sent(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        assert send(reader) == ("", "")
        assert reader.page.get_by_text("Send it to whoever keeps these solos, as a file.").is_visible()


def test_an_issue_is_filled_in(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, FORGE) as reader:
        said, href = send(reader, "``` and ````\n$& {title} {body}")
        patch = reader.patch
        assert reader.page.get_by_text("What opens is filled in already").is_visible()
        assert reader.page.locator("[data-suggest=send]").get_attribute("rel") == "noopener noreferrer"
    assert said == "Send it as an issue (new tab)"
    asked = parse_qs(urlsplit(href).query)
    assert asked["title"] == ["Correction for Ferry at Dusk: bar 2"]
    assert asked["body"] == [f"`````diff\n{patch}`````\n"]
    assert read_patch(asked["body"][0].encode(), "transcriptions").hunks in patch


def test_a_mail_is_filled_in(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, MAIL) as reader:
        said, href = send(reader)
        patch = reader.patch
    assert said == "Send it by mail"
    assert "%0D%0A" in href
    assert unquote(href.partition("&body=")[2]).replace("\r\n", "\n") == patch


def test_an_address_that_cannot_be_filled_in_is_left_as_it_is(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, "https://forge.example/new") as reader:
        assert send(reader)[1] == "https://forge.example/new"
        assert reader.page.get_by_text("Copy or download it first").is_visible()


def test_what_is_too_long_for_a_link_is_attached(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, FORGE) as reader:
        _, href = send(reader, "ä" * 2000)
        assert reader.page.get_by_text("download it, and attach the file").is_visible()
    assert parse_qs(urlsplit(href).query)["body"] == ["The patch is attached."]


# ---- for everyone


def test_with_the_keys_alone(browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        keys = reader.page.keyboard
        reader.page.locator(".tt-tab").focus()
        keys.press("End")
        for _ in range(40):
            keys.press("Tab")
            if reader.focused == "Suggest a correction":
                break
        keys.press("Enter")
        assert reader.focused == "suggest-place"
        seen = []
        for _ in range(40):
            keys.press("Tab")
            seen.append(reader.focused)
            style = reader.page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert style != "none", seen
            if seen[-1] == "suggest-text":
                keys.press("Control+End")
                keys.type("  # a sigh")
            elif seen[-1] == "suggest-credit":
                keys.type("Nell Quayle")
            elif seen[-1] == "Make the patch":
                keys.press("Enter")
                break
        assert reader.focused == "suggest-result"
        keys.press("Tab")
        assert reader.focused == "Copy"
        patch = reader.patch
    assert {"Back to how it was", "suggest-reason", "suggest-at"} <= set(seen)
    repository = repository_of(tmp_path)
    assert "Suggested-by: Nell Quayle" in taken(repository, patch, monkeypatch)
    assert repository.read() == DUSK.replace("1:10 1:8", "1:10 1:8  # a sigh")


def test_what_was_typed_is_taken_back(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 2")
        back = reader.page.get_by_role("button", name="Back to how it was")
        assert back.is_disabled()
        reader.text.fill("bar 2")
        assert reader.page.get_by_role("heading", name="What changes").is_visible()
        back.click()
        assert reader.text.input_value() == DUSK[DUSK.index("bar 2") :].rstrip("\n")
        assert reader.page.get_by_role("heading", name="What changes").is_hidden()
        assert back.is_disabled() and reader.focused == "suggest-text"


def test_without_script_nothing_is_offered(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, java_script_enabled=False) as reader:
        assert reader.page.locator(".tt-suggest").is_hidden()


def test_it_is_not_printed(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 2")
        reader.page.emulate_media(media="print")
        assert reader.page.locator(".tt-suggest").is_hidden()


LEAST_TARGET = 24
"""WCAG 2.2, 2.5.8: pixels."""
TARGETS = """
() => [...document.querySelectorAll(".tt-suggest :is(button, input, select, textarea, summary, a)")]
  .filter((one) => one.checkVisibility())
  .map((one) => [one.dataset.suggest || one.name || one.tagName, ...["width", "height"].map(
    (side) => one.getBoundingClientRect()[side])])
"""


@pytest.mark.parametrize("width", [1280, 375, 320])
def test_it_fits_any_screen_and_any_finger(browser: Browser, tmp_path: Path, width: int) -> None:
    text = SOLOS[5].read_text(encoding="utf-8")
    with reading(browser, tmp_path, text, SOLO, FORGE, viewport={"width": width, "height": 700}) as reader:
        reader.choose("Bar 3")
        reader.text.fill(reader.text.input_value() + f"\n# {'wide' * 60}")
        reader.page.get_by_text("How a bar is written").click()
        reader.make()
        assert reader.page.evaluate("document.documentElement.scrollWidth") <= width
        targets = reader.page.evaluate(TARGETS)
        assert len(targets) >= 12
        assert [one for one in targets if min(one[1:]) < LEAST_TARGET] == []


@pytest.mark.build
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_no_violation_in_the_open_form(browser: Browser, served_demo: str, scheme: str) -> None:
    with opened(browser, f"{served_demo}/solos/letter-from-the-ferry.html", color_scheme=scheme) as page:
        reader = Reader(page)
        reader.choose("Bar 9, like bar 1")
        assert reader.make() == ""
        assert violations(page) == []
        reader.choose("Bar 2")
        reader.text.fill(reader.text.input_value() + "  # heard")
        page.get_by_text("How a bar is written").click()
        assert reader.make()
        assert violations(page) == []
