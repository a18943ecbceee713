"""Where data files are found: beside the job, then the user's own folder, then what ships with camplan."""

import os
import sys
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The file that a name means, and the files of the same name that it hides."""

    path: Path
    hides: tuple[Path, ...]


def shipped() -> Path:
    """The folder that holds the shipped ``tooling`` and ``posts``: inside the wheel, or the checkout."""
    inside = Path(__file__).parent / "_data"
    return inside if inside.is_dir() else Path(__file__).parent.parent


def user_folder() -> Path:
    """The user's own data folder (CAMPLAN_HOME, or the system's configuration folder); it need not exist."""
    if chosen := os.environ.get("CAMPLAN_HOME"):
        return Path(chosen)
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA", Path.home())) / "camplan"
    return Path(os.environ.get("XDG_CONFIG_HOME", Path.home() / ".config")) / "camplan"


def named(folder: str, *, beside: Path) -> dict[str, Found]:
    """Every TOML file by its stem in ``folder`` (such as ``tooling/cutters``), nearest place first, sorted."""
    found: dict[str, list[Path]] = {}
    for root in (beside, user_folder(), shipped()):
        place = root / folder
        for path in sorted(place.glob("*.toml")) if place.is_dir() else []:
            if all(path.resolve() != other.resolve() for other in found.get(path.stem, [])):
                found.setdefault(path.stem, []).append(path)
    return {stem: Found(path=paths[0], hides=tuple(paths[1:])) for stem, paths in sorted(found.items())}
