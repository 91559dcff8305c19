r"""A file that cannot be taken as text at all.

A solo file is UTF-8 text of at most 1 MiB. A file that is missing or may not be read, that holds bytes which are
not UTF-8, NUL or control characters, or characters that turn the direction of writing around and so show a
reader something else than what is there, is refused whole. The other files are checked all the same.

Passes:

    bar 1  Am
    1-4  3:7

Fails (`\u0000` stands for a NUL byte):

    bar 1  Am\u0000
    1-4  3:7
"""

from tabtools.problem import Severity

NAME = "unreadable-file"
SEVERITY = Severity.ERROR
ALWAYS_ON = True
