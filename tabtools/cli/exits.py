"""What a command is: it says how it ends, and however it ends, it ends with one line and an honest status."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Protocol

import click

from tabtools.source import is_number, visible

CLEAN, FINDINGS, COULD_NOT_RUN, INTERRUPTED = 0, 1, 2, 130
STATUSES = {COULD_NOT_RUN: "could not run", INTERRUPTED: "interrupted with Ctrl-C"}
"""How every command can end."""


class StopError(click.ClickException):
    """Something that keeps a command from running: exit status 2."""

    exit_code = COULD_NOT_RUN

    def show(self, file: Any = None) -> None:
        click.echo("\n".join(map(visible, f"tabtools: {self.message}".splitlines())), err=True)


class Advised(Protocol):
    """A fault that says what to do about it; the advice may be empty."""

    message: str
    advice: str


def stopped(fault: Advised) -> StopError:
    """What went wrong, with the advice there is, as what stops a command."""
    return StopError(f"{fault.message}; {fault.advice}" if fault.advice else fault.message)


class NoAnswer(StopError):
    """The input ended where a question was asked."""

    def __init__(self, said: str = "the input ended before the question was answered"):
        super().__init__(said)

    def show(self, file: Any = None) -> None:
        if sys.stderr.isatty():
            click.echo(err=True)
        super().show(file)


class Interruption(NoAnswer):
    """The user has had enough: exit status 130, as shells have it for Ctrl-C."""

    exit_code = INTERRUPTED

    def __init__(self) -> None:
        super().__init__("interrupted")


class Command(click.Command):
    """A command that says, at the end of its help, with which statuses it ends and what they mean."""

    allow_extra_args = True
    """They are refused here, in our words."""

    def __init__(self, *given: Any, statuses: Mapping[int, str], **named: Any):
        super().__init__(*given, **named)
        self.statuses = dict(sorted({**STATUSES, **statuses}.items()))

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        rest = _spoken_plainly(ctx, partial(super().parse_args, ctx, args))
        if rest and not ctx.resilient_parsing:
            from tabtools.cli.usage import left_over

            raise StopError(left_over(ctx, rest))
        return rest

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Exit status"):
            formatter.write_dl([(str(status), meaning) for status, meaning in self.statuses.items()])


class CommandGroup(click.Group):
    """Commands under one name, which end as commands do; asked for none, it shows its help."""

    command_class = Command

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args:
            return super().parse_args(ctx, args)
        return _spoken_plainly(ctx, partial(super().parse_args, ctx, args))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if not ctx.resilient_parsing and self.get_command(ctx, args[0]) is None:
            from tabtools.cli.usage import no_such_command

            raise StopError(no_such_command(ctx, args[0], self.list_commands(ctx)))
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            raise Interruption from None
        except click.Abort as abort:
            raise unanswered(abort) from None


def _spoken_plainly(context: click.Context, parse: Callable[[], list[str]]) -> list[str]:
    """What the parser of options has to say, in our words."""
    try:
        return parse()
    except click.UsageError as fault:
        from tabtools.cli.usage import what_is_wrong

        raise StopError(what_is_wrong(fault, context)) from None


def unanswered(abort: click.Abort) -> StopError:
    """Why a question got no answer: Ctrl-C, or the end of the input."""
    return NoAnswer() if isinstance(abort.__context__, EOFError) else Interruption()


MOST_FIGURES = 9


class Whole(click.types.IntParamType):
    """A whole number from one to another, in the figures 0 to 9, where Python would take those of every script."""

    name = "number"

    def __init__(self, least: int, most: int):
        self.least = least
        self.most = most

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, str) and not is_number(value.removeprefix("-")):
            self.fail(f"“{visible(value)}” is no whole number", param, ctx)
        if len(str(value)) > MOST_FIGURES or not self.least <= int(value) <= self.most:
            self.fail(f"{value} is not between {self.least} and {self.most}", param, ctx)
        return int(value)
