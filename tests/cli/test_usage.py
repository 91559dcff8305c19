"""A command that is called wrongly says so in plain words, and what to write instead."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from invoked import tabtools

from tabtools.cli.commands import MODULES

SAID = """\
lint --strct                    | lint has no option --strct; did you mean --strict?
lint --zzz                      | lint has no option --zzz; tabtools lint --help lists them
lint -q                         | lint has no option -q; tabtools lint --help lists them
lint --form json                | lint has no option --form; did you mean --format?
--zzz                           | tabtools has no option --zzz; tabtools --help lists them
--strict lint                   | tabtools has no option --strict; tabtools --help lists them
lnt                             | there is no command “lnt”; did you mean lint?
zzz                             | there is no command “zzz”; tabtools --help lists them
dusk.solo                       | there is no command “dusk.solo”; a command comes first: tabtools lint dusk.solo
git zzz                         | there is no command “git zzz”; tabtools git --help lists them
git instal                      | there is no command “git instal”; did you mean git install?
show                            | show needs a file, like this: tabtools show transcriptions/dusk.solo --bars 1-4
explain                         | explain needs a check, like this: tabtools explain bar-duration
review                          | review needs BASE..HEAD, like this: tabtools review main...correction --to review.html
export dusk.solo                | export needs --to: musicxml, midi or text
git textconv                    | git textconv needs a file; tabtools git textconv --help says more
show a.solo b.solo              | show has no use for “b.solo”; tabtools show --help says what it takes
checks bar-duration reach       | checks has no use for “bar-duration reach”; tabtools checks --help says what it takes
lint --format xml               | --format takes text or json
export dusk.solo --to pdf       | --to takes musicxml, midi or text
export dusk.solo --to text --staves both | --staves belongs to --to musicxml; plain tab has one staff, MIDI none
lint --format                   | --format needs a value: text or json
show dusk.solo --bars           | --bars needs a value, like --bars 5-8
find --like dusk.solo           | --like needs two values: --like SOLO RANGE
lint --strict=yes               | --strict stands alone; take “=” and what follows away
lint --no-cache=1               | --no-cache stands alone; take “=” and what follows away
new --bars two                  | --bars: “two” is no whole number
new --bars 0                    | --bars: 0 is not between 1 and 400
blame dusk.solo two             | BAR: “two” is no whole number
git merge-driver a b c 7 d --timeout soon | --timeout takes a number
init taken.txt                  | FOLDER takes a folder, and what you name is a file
"""
PARSERS_WORDS = re.compile(
    r"Usage:|Error:|Invalid value|Missing (argument|option|parameter)|No such|Got unexpected|is not a valid|"
    r"requires|does not take|not one of|Did you mean|Try '"
)


@pytest.mark.parametrize("row", SAID.splitlines())
def test_it_is_said(folder: Path, row: str) -> None:
    (folder / "taken.txt").write_text("mine", encoding="utf-8")
    asked, _, said = row.partition("|")
    assert tabtools(*shlex.split(asked)) == (2, "", f"tabtools: {said.strip()}\n")


@pytest.mark.parametrize("command", [*MODULES, "git check", "git textconv", "git merge-driver"])
@pytest.mark.parametrize("wrong", ["--no-such", "-%", "--no-such=1", "--help=1", "--no-such a b c d e f g"])
def test_no_command_speaks_like_a_parser(folder: Path, command: str, wrong: str) -> None:
    status, out, err = tabtools(*command.split(), *wrong.split())
    assert (status, out) == (2, "")
    assert not PARSERS_WORDS.search(err)


def test_the_program_called_with_nothing_shows_its_help(folder: Path) -> None:
    status, _, err = tabtools()
    assert status == 2
    assert "Example:" in err
