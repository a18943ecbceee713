"""What cutters were chosen from, as records, and how it is said."""

from collections.abc import Sequence
from dataclasses import dataclass

from camplan.units import S_PER_MIN, Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class Domination:
    """A cutter that is left out, and the one that does all that it does."""

    cutter: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """Flat cutters for a whole plate: seconds of cutting as expected, all programs, those of other cutters too, and the
    whole time with a change before each program."""

    cutters: tuple[str, ...]
    cutting: Seconds
    programs: int
    total: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureWay:
    """Flat cutters for one feature and the seconds that they take there, without changes."""

    cutters: tuple[str, ...]
    seconds: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureChoice:
    """The way taken for a feature, and the fastest others, each with other cutters."""

    feature: str
    taken: FeatureWay
    others: tuple[FeatureWay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """``single``: the best with one flat cutter; ``without``: by cutter taken, the best without it; None where that
    cannot be done.  ``change``: seconds of one change; ``slack``: how much less the least could be, 0 if this is it.
    """

    taken: Set
    single: Set | None
    without: dict[str, Set | None]
    features: tuple[FeatureChoice, ...]
    candidates: tuple[str, ...]
    dominated: tuple[Domination, ...]
    left_out: tuple[str, ...]
    change: Seconds
    slack: Seconds


def minutes(seconds: Seconds) -> str:
    """A time to compare: minutes to a tenth."""
    return f"{seconds / S_PER_MIN:.1f} min"


def listed(names: Sequence[str]) -> str:
    """Names in a row, the last two joined by "and"."""
    return " and ".join((*([", ".join(names[:-1])] if names[:-1] else []), *names[-1:]))
