"""What is wrong with how a command was called, in plain words, and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches

import click

from tabtools.checks.wording import in_a_row
from tabtools.source import SUFFIX, visible

PROGRAM = "tabtools"

_EXAMPLE = re.compile(r"Example:\n +(tabtools [^\n]+?)(?:  |\n|$)")
_NOUNS = {"FILE": "a file", "CHECK": "a check"}


def what_is_wrong(fault: click.UsageError, context: click.Context) -> str:
    """One line for a call that the parser of options does not take."""
    command = _name(context)
    if isinstance(fault, click.NoSuchOption):
        near = _nearest(fault.option_name, _options(context))
        advice = f"did you mean {near}?" if near else f"{_asks_help(context)} lists them"
        return f"{command} has no option {visible(fault.option_name)}; {advice}"
    if isinstance(fault, click.BadOptionUsage):
        return _wrong_value(fault.option_name, _param(context, fault.option_name))
    if isinstance(fault, click.MissingParameter) and fault.param is not None:
        return _missing(command, context, fault.param)
    if isinstance(fault, click.BadParameter) and fault.param is not None:
        return _refused(fault.param, fault.message)
    return f"{command}: {fault.message}"


def left_over(context: click.Context, words: Sequence[str]) -> str:
    """What a command is given beside all that it takes."""
    return f"{_name(context)} has no use for “{visible(' '.join(words))}”; {_asks_help(context)} says what it takes"


def no_such_command(context: click.Context, word: str, names: Iterable[str]) -> str:
    """A word that stands where a command should."""
    before = _name(context) + " " if context.parent else ""
    said = f"there is no command “{visible(before + word)}”"
    if near := _nearest(word, names):
        return f"{said}; did you mean {before}{near}?"
    if word.endswith(SUFFIX):
        return f"{said}; a command comes first: tabtools lint {visible(word)}"
    return f"{said}; {_asks_help(context)} lists them"


def _wrong_value(option: str, param: click.Parameter | None) -> str:
    """An option with a value that takes none, or without one."""
    if not isinstance(param, click.Option) or param.is_flag:
        return f"{option} stands alone; take “=” and what follows away"
    if isinstance(param.type, click.Choice):
        return f"{option} needs a value: {_choices(param.type)}"
    shown = f"{option} {param.metavar or param.type.name.upper()}"
    return f"{option} needs {'two values: ' if param.nargs == 2 else 'a value, like '}{shown}"


def _missing(command: str, context: click.Context, param: click.Parameter) -> str:
    if isinstance(param.type, click.Choice):
        return f"{command} needs {_written(param)}: {_choices(param.type)}"
    said = f"{command} needs {_NOUNS.get(_written(param), _written(param))}"
    example = _EXAMPLE.search(context.command.help or "")
    return f"{said}, like this: {example[1]}" if example else f"{said}; {_asks_help(context)} says more"


def _refused(param: click.Parameter, message: str) -> str:
    """A value that an option or an argument does not take."""
    name = _written(param)
    if isinstance(param.type, click.Choice):
        return f"{name} takes {_choices(param.type)}"
    if isinstance(param.type, click.Path):
        return f"{name} takes a folder, and what you name is a file"
    if type(param.type) is type(click.INT):
        return f"{name} takes a number"
    return f"{name}: {message}"


def _written(param: click.Parameter) -> str:
    """An option as it is written, an argument as the help calls it."""
    if isinstance(param, click.Option):
        return max(param.opts, key=len)
    return param.metavar or (param.name or "").upper()


def _choices(kind: click.Choice[str]) -> str:
    return in_a_row(kind.choices, "or")


def _options(context: click.Context) -> list[str]:
    params = context.command.get_params(context)
    return [one for param in params for one in (*param.opts, *param.secondary_opts) if one.startswith("--")]


def _param(context: click.Context, option: str) -> click.Parameter | None:
    params = context.command.get_params(context)
    return next((param for param in params if option in (*param.opts, *param.secondary_opts)), None)


def _nearest(word: str, names: Iterable[str]) -> str:
    return next(iter(get_close_matches(word, list(names), 1)), "")


def _name(context: click.Context) -> str:
    """A command as it is called, `lint`, `git check`; the program where no command is reached."""
    return context.command_path.partition(" ")[2] or PROGRAM


def _asks_help(context: click.Context) -> str:
    path = context.command_path.partition(" ")[2]
    return f"{PROGRAM} {path} --help" if path else f"{PROGRAM} --help"
