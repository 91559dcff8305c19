"""An `# allow` comment that permits nothing, because it is unfinished or names no check.

`# allow reach: he really does stretch it` silences one named check: on the line it stands with, on the bar it
stands above, in the whole file when it stands in the header. The reason is required, for whoever reads it in
two years. Checks of what cannot be read at all (`syntax`, `conflict-marker`) cannot be silenced.

Passes:

    bar 1  Am  # allow bar-duration: the tape was cut here
    1    3:7

Fails:

    bar 1  Am  # allow bar-duration
    1-4  3:7
"""

from tabtools.problem import Severity

NAME = "permission"
SEVERITY = Severity.ERROR
ALWAYS_ON = True
