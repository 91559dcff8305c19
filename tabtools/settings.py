"""Settings: the table `[tool.tabtools]` of the nearest pyproject.toml."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from tabtools.hand.profile import DEFAULT_PROFILE, HandProfile, Limit
from tabtools.harmony.degrees import DegreeStyle
from tabtools.source import MAX_BYTES, cut

STYLES = ("plain", "extended")
HANDS = ("small", "medium", "large")
LIMITS = ("pick-rate", "legato-rate", "tremolo-rate", "bend-force", "lone-bend-force")
MOST = 1000


class SettingsError(Exception):
    """Settings that cannot be used; the text says which and what to write."""


@dataclass(frozen=True)
class Settings:
    """What a repository sets.

    `transcriptions` is the folder of the solos, `root` the folder of the pyproject.toml; `select` and
    `ignore` name checks, `strict` makes warnings fail, `style` is how degrees are written, `staff` says whether pages
    show a standard staff over the tab before a reader chooses. The rest is the player, warmed up: `hand` the size of
    the hand where a solo does not say; rates in notes a second and forces in newtons from which there is a warning,
    and an error. In the file, names are written with hyphens.
    """

    transcriptions: str = "transcriptions"
    select: tuple[str, ...] = ()
    ignore: tuple[str, ...] = ()
    strict: bool = False
    style: DegreeStyle = "plain"
    staff: bool = False
    hand: str = DEFAULT_PROFILE.size
    pick_rate: tuple[float, float] = DEFAULT_PROFILE.pick_rate
    legato_rate: tuple[float, float] = DEFAULT_PROFILE.legato_rate
    tremolo_rate: tuple[float, float] = DEFAULT_PROFILE.tremolo_rate
    bend_force: tuple[float, float] = DEFAULT_PROFILE.bend_force[1:]
    lone_bend_force: tuple[float, float] = DEFAULT_PROFILE.lone_bend_force[1:]
    root: Path = field(default_factory=Path.cwd)

    @property
    def folder(self) -> Path:
        """The folder of the solos."""
        return self.root / self.transcriptions

    @property
    def profile(self) -> HandProfile:
        """The player the solos are judged for."""
        return HandProfile(
            size=self.hand,
            pick_rate=self.pick_rate,
            legato_rate=self.legato_rate,
            tremolo_rate=self.tremolo_rate,
            bend_force=_force(DEFAULT_PROFILE.bend_force, self.bend_force),
            lone_bend_force=_force(DEFAULT_PROFILE.lone_bend_force, self.lone_bend_force),
        )


def _force(usual: Limit, limits: tuple[float, float]) -> Limit:
    """Comfort moves with the warning."""
    return Limit(usual.comfort * limits[0] / usual.warning, *limits)


def load_settings(start: Path) -> Settings:
    """The settings in force at `start`. Raises `SettingsError` for what cannot be read or is not known."""
    for folder in (start, *start.parents):
        path = folder / "pyproject.toml"
        if _is_file(path):
            return _read(path)
    return Settings(root=start)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:
        return False


def _tables(path: Path) -> dict[str, Any]:
    """All that a file of settings holds. Raises `SettingsError`."""
    import tomllib

    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
        if len(data) > MAX_BYTES:
            raise SettingsError(f"{path.name} is longer than {MAX_BYTES:,} bytes (1 MiB)")
        return tomllib.loads(data.decode("utf-8"))
    except (OSError, ValueError) as error:
        raise SettingsError(f"{path.name} cannot be read: {error}") from None
    except RecursionError:
        raise SettingsError(f"{path.name} cannot be read: its lists or tables are nested too deep") from None


def _read(path: Path) -> Settings:
    tool = _tables(path).get("tool", {})
    table = tool.get("tabtools", {}) if isinstance(tool, dict) else None
    if not isinstance(table, dict):
        raise SettingsError(f"{path.name}: tool.tabtools is no table")
    known = [entry.name.replace("_", "-") for entry in fields(Settings) if entry.name != "root"]
    values: dict[str, Any] = {}
    for key, value in table.items():
        if key not in known:
            near = get_close_matches(cut(key), known, 1)
            hint = f"did you mean {near[0]}?" if near else f"the keys are: {', '.join(known)}"
            raise SettingsError(f"{path.name}: tool.tabtools has no key “{cut(key)}”; {hint}")
        values[key.replace("-", "_")] = _value(path, key, value)
    return Settings(**values, root=path.parent)


def _value(path: Path, key: str, value: Any) -> Any:
    def wrong(what: str) -> SettingsError:
        return SettingsError(f"{path.name}: tool.tabtools.{key} is to be {what}")

    if key in ("select", "ignore"):
        from tabtools.checks import BY_NAME  # loads every check

        if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
            raise wrong("a list of check names")
        for name in value:
            if name not in BY_NAME:
                near = get_close_matches(cut(name), BY_NAME, 1)
                hint = f", did you mean {near[0]}?" if near else "; see tabtools checks"
                raise wrong(f"a list of check names; “{cut(name)}” is none{hint}")
        return tuple(value)
    if key in ("strict", "staff"):
        if not isinstance(value, bool):
            raise wrong("true or false")
        return value
    if key in LIMITS:
        if not isinstance(value, list) or len(value) != 2 or not all(type(one) in (int, float) for one in value):
            raise wrong("two numbers: from where on there is a warning, and an error")
        if not 0 < value[0] <= value[1] <= MOST:
            raise wrong(f"two numbers above 0, the second not below the first and at most {MOST}")
        return float(value[0]), float(value[1])
    choices = {"style": STYLES, "hand": HANDS}.get(key)
    if choices and value not in choices:
        raise wrong(" or ".join(choices))
    if not isinstance(value, str) or (key == "transcriptions" and not _can_be_within(path.parent, value)):
        raise wrong("a folder within the repository")
    return value


def _can_be_within(root: Path, name: str) -> bool:
    """Whether a name can be that of a folder below another, there or not."""
    if Path(name).is_absolute() or ".." in name or "\x00" in name:
        return False
    try:
        (root / name).lstat()
    except OSError as error:
        return isinstance(error, FileNotFoundError)
    return True
