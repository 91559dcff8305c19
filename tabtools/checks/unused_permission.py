"""An `# allow` comment that silences nothing.

The tab was corrected, or the permission stands with the wrong line. Left in place it would one day hide a new
mistake.

Passes:

    bar 1  Am  # allow bar-duration: the tape was cut here
    1    3:7

Fails:

    bar 1  Am  # allow bar-duration: the tape was cut here
    1-4  3:7
"""

from tabtools.problem import Severity

NAME = "unused-permission"
SEVERITY = Severity.WARNING
ALWAYS_ON = True
