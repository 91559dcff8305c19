"""The checks: one module each. `ALL_CHECKS` names them in the order reports use."""

from types import ModuleType

from tabtools.checks import bar_duration, permission, syntax, unused_permission

ALL_CHECKS: tuple[ModuleType, ...] = (
    syntax,
    permission,
    unused_permission,
    bar_duration,
)

BY_NAME: dict[str, ModuleType] = {check.NAME: check for check in ALL_CHECKS}
