"""A conflict marker that a merge left in the file.

When two people change the same beat, a merge may leave both versions between lines of `<<<<<<<`, `=======` and
`>>>>>>>`. Until someone decides between them the file says two things at once: the bars around the markers are
not checked for their counts. The same holds of the lesson beside the solo. Not even a draft is published with them.

Passes:

    bar 1  Am
    1-4  3:7

Fails:

    bar 1  Am
    <<<<<<< ours
    1-4  3:7
    =======
    1-4  3:9
    >>>>>>> theirs
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.notation.conflicts import ADVICE, MESSAGE, markers_in_lesson
from tabtools.problem import Severity
from tabtools.source import SourceText

NAME = "conflict-marker"
SEVERITY = Severity.ERROR
ALWAYS_ON = True


def check(subject: Subject) -> Iterator[Finding]:
    """Lines that are conflict markers, as the reader found them."""
    return subject.read_faults(NAME)


def check_lesson(lesson: SourceText, subject: Subject) -> Iterator[Finding]:
    """The same in the text of a lesson; lines of code are left to their author."""
    for span in markers_in_lesson(lesson):
        yield Finding(span, MESSAGE, ADVICE)
