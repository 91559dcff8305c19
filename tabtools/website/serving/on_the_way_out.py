"""What a page is given on its way to the browser, and only there: the script of the bench, and what is wrong."""

from __future__ import annotations

from itertools import groupby

from markupsafe import Markup

from tabtools.problem import Problem
from tabtools.reports.alike import Alike, told_apart
from tabtools.source import LESSON_SUFFIX, SourceText
from tabtools.website.markup import html
from tabtools.website.scripts import BENCH
from tabtools.website.serving.bench import OnTheBench
from tabtools.website.serving.last_good import bar_at
from tabtools.website.serving.server import OWN
from tabtools.wording import plural

WIDTH = 72
_END = b"</body>"


def with_bench(page: bytes, mount: str, number: int, said: OnTheBench | None, fault: str) -> bytes:
    """A page with all that follows changes before the end of its body; `number` is that of the last one."""
    before, end, after = page.rpartition(_END)
    if not end:
        return page
    return before + bench_html(mount, number, said, fault).encode() + end + after


def bench_html(mount: str, number: int, said: OnTheBench | None, fault: str) -> Markup:
    """The styles, the script, and what is wrong, which the script puts in its place."""
    return html(
        '<link rel="stylesheet" href="{own}bench.css"><template class="tt-bench-said">{fault}{said}</template>'
        '<script class="tt-bench-script" src="{own}{script}" data-number="{number}" data-mount="{mount}" defer>'
        "</script>",
        own=mount + OWN,
        script=BENCH,
        number=number,
        mount=mount,
        fault=html("<p>The rest of the site stays as it was:</p><pre>{fault}</pre>", fault=fault) if fault else "",
        said=said_html(said) if said else "",
    )


def said_html(said: OnTheBench) -> Markup:
    """What is wrong with a solo, errors first, as the linter has it."""
    sources = {source.path: source for source in said.sources}
    apart, together = told_apart(said.problems)
    groups = Markup().join(
        html(
            "<section><h3>{where}</h3><ul>{rows}</ul></section>",
            where=where,
            rows=Markup().join(_row(problem, sources.get(problem.path)) for problem in problems),
        )
        for where, problems in groupby(apart, lambda problem: _where(problem, sources.get(problem.path)))
    )
    return _kept_html(said) + groups + Markup().join(map(_together_html, together))


def _together_html(alike: Alike) -> Markup:
    """Many notes of one kind, with the bars they are in; `data-count` says how many."""
    bars = Markup(", ").join(html('<a href="#b{bar}">{bar}</a>', bar=bar) for bar in alike.bars)
    return html(
        '<section><h3>{word} {bars}</h3><ul><li class="tt-note" data-count="{count}"><strong>note</strong>: {message} '
        "<small>[{check}]</small></li></ul></section>",
        word=plural("Bar", len(alike.bars)),
        bars=bars,
        count=len(alike.problems),
        message=alike.message,
        check=alike.first.check,
    )


def _kept_html(said: OnTheBench) -> Markup:
    """What is drawn as it was, because it cannot be read now."""
    what = [f"bar {number}" for number in said.kept] + (["the lesson"] if said.has_old_lesson else [])
    return html("<p>Shown as before, until it can be read: {what}.</p>", what=", ".join(what)) if what else Markup()


def _where(problem: Problem, source: SourceText | None) -> Markup:
    if problem.path.endswith(LESSON_SUFFIX):
        return Markup("In the lesson")
    bar = problem.address.partition(".")[0] or (bar_at(source.text, problem.span.start) if source else "")
    return html('<a href="#b{bar}">Bar {bar}</a>', bar=bar) if bar else Markup("In the solo")


def _row(problem: Problem, source: SourceText | None) -> Markup:
    line = source.locate(problem.span.start)[0] if source else 1
    shown = Markup()
    if source and source.text:
        text, carets = source.excerpt(problem.span, WIDTH)
        shown = html("<pre>{text}\n{carets}</pre>", text=text, carets=carets)
    return html(
        '<li class="tt-{severity}"><strong>{word}</strong>, line {line}: {message} '
        "<small>[{check}]</small>{shown}{advice}</li>",
        severity=problem.severity,
        word=problem.severity.word,
        line=line,
        message=problem.message,
        check=problem.check,
        shown=shown,
        advice=html("<p>{advice}</p>", advice=problem.advice) if problem.advice else "",
    )
