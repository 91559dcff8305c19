"""Which mistakes the tests notice: `python tests/bench/mutants.py [MODULE …] [--each 20] [--jobs 2] [--survivors]`.

One small mistake at a time is written into a copy of the package: a comparison turned, a figure one off, a condition
denied, a side or a word exchanged, a line left out. The tests that cover the module are run against it, before that
without any mistake; a mutant whose tests all pass survived, and is a place to look: a missing test, or a mistake that
makes no difference. The choice is the same in every run, so two tables can be compared.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
SECONDS = 300
"""A mutant that keeps its tests busy for longer is noticed."""

COVERED = {
    "timeline/sound.py": ("tests/timeline/test_timeline_cases.py", "tests/timeline/test_timeline.py"),
    "timeline/unroll.py": ("tests/timeline/test_timeline_cases.py", "tests/timeline/test_timeline.py"),
    "harmony/degrees.py": ("tests/harmony/test_degrees.py",),
    "notation/build.py": ("tests/notation/test_notation_cases.py",),
    "hand/grip.py": ("tests/hand/test_grip.py", "tests/hand/test_effort.py", "tests/hand/test_fingering.py"),
    "study/role_rules.py": ("tests/study/test_roles.py",),
    "checks/bar_duration.py": ("tests/checks/test_cases.py", "-k", "bar-duration"),
    "checks/heard_pitch.py": ("tests/checks/test_cases.py", "-k", "heard-pitch"),
    "score/measures.py": ("tests/score/test_written_notes.py", "tests/score/test_written_cases.py"),
    "review/align.py": ("tests/review/test_alignment_cases.py", "tests/review/test_comparison_cases.py"),
    "review/merging/three.py": ("tests/review/test_merge_cases.py", "tests/review/test_merges_of_faulty_solos.py"),
    "review/merging/settled.py": ("tests/review/test_settling_merges.py",),
    "review/classify.py": ("tests/review/test_comparison_cases.py",),
    "review/beats.py": ("tests/review/test_comparison_cases.py",),
    "review/pairing.py": ("tests/review/test_comparison_cases.py",),
    "study/truth/stretches.py": ("tests/study/test_claims.py",),
    "study/truth/notes.py": ("tests/study/test_claims.py",),
    "study/truth/relations.py": ("tests/study/test_claims.py",),
    "reports/settling.py": ("tests/review/test_comparison_cases.py",),
    "engraving/stems.py": ("tests/engraving/test_drawn_rhythm.py", "tests/score/test_written_cases.py"),
}
"""The tests of each module, quickest first."""


class Mutant(NamedTuple):
    """One mistake: the statement it stands in, the lines of that statement, and what they say now."""

    module: str
    first: int
    last: int
    old: str
    new: str


TURNED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Add,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
}
EXCHANGED = {"min": "max", "max": "min", "any": "all", "all": "any", "first": "last", "last": "first"}
SIDES = {"upper": "lower", "lower": "upper", "above": "below", "below": "above", "before": "after", "after": "before"}


def mutants_of(module: str) -> list[Mutant]:
    """Every mutant of a module, in the order of its text."""
    text = (ROOT / "tabtools" / module).read_text(encoding="utf-8")
    found: dict[tuple[int, str], Mutant] = {}
    for statement in _simple_statements(ast.parse(text)):
        old = ast.unparse(statement)
        for new in _mutated(statement):
            if new != old:
                first, last = statement.lineno, _end_of(statement)
                found.setdefault((first, new), Mutant(module, first, last, old, new))
    return list(found.values())


def _simple_statements(tree: ast.AST) -> Iterator[ast.stmt]:
    """Statements without others in them, and the heads of `if` and `while`, within functions."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            for inner in ast.walk(node):
                is_text = isinstance(inner, ast.Expr) and isinstance(inner.value, ast.Constant)
                if (
                    isinstance(inner, ast.Return | ast.Assign | ast.AugAssign | ast.Expr | ast.If | ast.While)
                    and not is_text
                ):
                    yield inner


def _end_of(statement: ast.stmt) -> int:
    if isinstance(statement, ast.If | ast.While):
        return statement.test.end_lineno or statement.lineno
    return statement.end_lineno or statement.lineno


def _mutated(statement: ast.stmt) -> Iterator[str]:
    """What the statement may say with one mistake in it."""
    if isinstance(statement, ast.If | ast.While):
        head = copy.deepcopy(statement)
        head.body, head.orelse = [ast.Pass()], []
        for new in (*_exchanges(head), _with_test(head, ast.UnaryOp(ast.Not(), head.test))):
            yield new.removesuffix("\n    pass")
        return
    yield from _exchanges(statement)
    if isinstance(statement, ast.AugAssign | ast.Expr) and not isinstance(statement.value, ast.Yield | ast.YieldFrom):
        yield "pass"


def _with_test(head: ast.If | ast.While, test: ast.expr) -> str:
    other = copy.copy(head)
    other.test = test
    return ast.unparse(ast.fix_missing_locations(other))


def _exchanges(statement: ast.stmt) -> Iterator[str]:
    """The statement with one operator, figure, name or word exchanged."""
    for number, node in enumerate(ast.walk(statement)):
        if _exchange(node):
            other = copy.deepcopy(statement)
            mutated = list(ast.walk(other))[number]
            _apply(mutated)
            yield ast.unparse(ast.fix_missing_locations(other))


def _exchange(node: ast.AST) -> bool:
    if isinstance(node, ast.Compare):
        return type(node.ops[0]) in TURNED
    if isinstance(node, ast.BoolOp | ast.BinOp):
        return type(node.op) in TURNED
    if isinstance(node, ast.Constant):
        return isinstance(node.value, int) or node.value in SIDES
    return isinstance(node, ast.Name) and node.id in EXCHANGED


def _apply(node: ast.AST) -> None:
    if isinstance(node, ast.Compare):
        node.ops[0] = TURNED[type(node.ops[0])]()  # type: ignore[call-overload]
    elif isinstance(node, ast.BoolOp | ast.BinOp):
        node.op = TURNED[type(node.op)]()  # type: ignore[assignment]
    elif isinstance(node, ast.Constant):
        value = node.value
        if isinstance(value, bool):
            node.value = not value
        else:
            node.value = value + 1 if isinstance(value, int) else SIDES[str(value)]
    elif isinstance(node, ast.Name):
        node.id = EXCHANGED[node.id]


def chosen(mutants: Sequence[Mutant], number: int) -> list[Mutant]:
    """As many of them, spread over the module, the same in every run."""
    picked = random.Random(7).sample(range(len(mutants)), min(number, len(mutants)))
    return [mutants[place] for place in sorted(picked)]


def write(mutant: Mutant, package: Path) -> None:
    """Put the mistake into a copy of the package."""
    path = package / mutant.module
    lines = (ROOT / "tabtools" / mutant.module).read_text(encoding="utf-8").splitlines()
    indent = " " * (len(lines[mutant.first - 1]) - len(lines[mutant.first - 1].lstrip()))
    new = [indent + line for line in mutant.new.splitlines()]
    if lines[mutant.first - 1].lstrip().startswith("elif "):
        new[0] = f"{indent}el{new[0].lstrip()}"
    path.write_text("\n".join([*lines[: mutant.first - 1], *new, *lines[mutant.last :]]) + "\n", encoding="utf-8")


def is_noticed(package: Path, tests: Sequence[str]) -> bool:
    """Whether the tests fail, with the package as it stands in this copy."""
    environment = os.environ | {"PYTHONPATH": str(package.parent), "PYTHONDONTWRITEBYTECODE": "1"}
    options = ("-q", "-x", "-n", "0", "-p", "no:cacheprovider")
    command = [sys.executable, "-P", "-m", "pytest", *options, *tests]  # not the package of the folder it runs in
    try:
        done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return True
    if done.returncode not in (0, 1, 2):
        raise SystemExit(done.stdout.decode() + done.stderr.decode())
    return done.returncode != 0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("modules", nargs="*", help=", ".join(COVERED))
    parser.add_argument("--each", type=int, default=20)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--survivors", action="store_true", help="show each survivor")
    asked = parser.parse_args()
    if unknown := set(asked.modules) - set(COVERED):
        parser.error(f"no tests are named for {', '.join(sorted(unknown))}")
    with tempfile.TemporaryDirectory() as name:
        copies: SimpleQueue[Path] = SimpleQueue()
        for number in range(asked.jobs):
            package = Path(name) / str(number) / "tabtools"
            shutil.copytree(ROOT / "tabtools", package, ignore=shutil.ignore_patterns("__pycache__"))
            copies.put(package)

        def is_quiet(module: str) -> bool:
            package = copies.get()
            try:
                return not is_noticed(package, COVERED[module])
            finally:
                copies.put(package)

        def judged(mutant: Mutant) -> bool:
            package = copies.get()
            write(mutant, package)
            try:
                return is_noticed(package, COVERED[mutant.module])
            finally:
                shutil.copyfile(ROOT / "tabtools" / mutant.module, package / mutant.module)
                copies.put(package)

        total = noticed = 0
        with ThreadPoolExecutor(asked.jobs) as pool:
            for module in asked.modules or COVERED:
                if not is_quiet(module):
                    raise SystemExit(f"the tests of {module} fail without any mistake")
                mutants = chosen(mutants_of(module), asked.each)
                results = list(pool.map(judged, mutants))
                total, noticed = total + len(mutants), noticed + sum(results)
                print(f"{module:28} {sum(results):3} of {len(mutants):3} noticed", flush=True)
                for mutant, result in zip(mutants, results, strict=True):
                    if not result and asked.survivors:
                        print(f"    line {mutant.first}: {mutant.old.splitlines()[0]}\n          → {mutant.new}")
        print(f"{'all':28} {noticed:3} of {total:3} noticed: {100 * noticed / max(1, total):.0f} %")


if __name__ == "__main__":
    main()
