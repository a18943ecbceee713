"""What each dialect knows: codes with their modal groups, letters, lengths."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

DialectName = Literal["rs274ngc", "grbl", "iso6983"]

G_GROUPS: dict[str, frozenset[float]] = {
    "motion": frozenset({0, 1, 2, 3, 38.2, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89}),
    "plane": frozenset({17, 18, 19}),
    "distance": frozenset({90, 91}),
    "feed mode": frozenset({93, 94}),
    "units": frozenset({20, 21}),
    "radius compensation": frozenset({40, 41, 42}),
    "length offset": frozenset({43, 49}),
    "cycle return": frozenset({98, 99}),
    "work system": frozenset({54, 55, 56, 57, 58, 59, 59.1, 59.2, 59.3}),
    "path control": frozenset({61, 61.1, 64}),
    "non-modal": frozenset({4, 10, 28, 30, 53, 92, 92.1, 92.2, 92.3}),
}
"""NISTIR 6556, table 4."""
M_GROUPS: dict[str, frozenset[int]] = {
    "stop": frozenset({0, 1, 2, 30, 60}),
    "tool change": frozenset({6}),
    "spindle": frozenset({3, 4, 5}),
    "coolant": frozenset({7, 8, 9}),
    "overrides": frozenset({48, 49}),
}
_NGC_G = {code: group for group, codes in G_GROUPS.items() for code in codes}
_NGC_M = {code: group for group, codes in M_GROUPS.items() for code in codes}

_GRBL_REFUSED = {41, 42, 43, 59.1, 59.2, 59.3, 61.1, 64, 81, 82, 83, 84, 85, 86, 87, 88, 89, 92.2, 92.3, 98, 99}
_GRBL_G = {code: group for code, group in _NGC_G.items() if code not in _GRBL_REFUSED} | {
    28.1: "non-modal",
    30.1: "non-modal",
    38.3: "motion",
    38.4: "motion",
    38.5: "motion",
    43.1: "length offset",
    91.1: "arc distance",
}
_GRBL_M = {code: _NGC_M[code] for code in (0, 1, 2, 30, 3, 4, 5, 8, 9)}

_ISO_OPEN = {10, 28, 30, 61.1, 64, *range(81, 90), 92.1, 92.2, 92.3, 98, 99}
_ISO_G = {code: group for code, group in _NGC_G.items() if code not in _ISO_OPEN} | {70: "units", 71: "units"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """``g`` and ``m``: group by code.  ``last_number``: the largest line number, of at most ``number_digits``.

    ``computes``: parameters and expressions are read.  ``axes_optional``: G0 and G1 may stand without words for axes.
    ``runs_on``: lines after M2 or M30 are run.  ``points_matter``: a length without its decimal point may be meant in
    least increments.  A semicolon begins a comment in all of them, though NIST itself does not say it.
    """

    name: DialectName
    g: Mapping[float, str]
    m: Mapping[int, str]
    letters: frozenset[str]
    computes: bool
    percent: bool
    last_number: int
    number_digits: int
    tool_max: int | None
    source: str
    axes_optional: bool = False
    runs_on: bool = False
    points_matter: bool = False


_NGC = Dialect(
    name="rs274ngc",
    g=_NGC_G,
    m=_NGC_M,
    letters=frozenset("ABCDFGHIJKLMNPQRSTXYZ"),
    computes=True,
    percent=True,
    last_number=99_999,
    number_digits=5,
    tool_max=None,
    source="NISTIR 6556",
)
_GRBL = Dialect(
    name="grbl",
    g=_GRBL_G,
    m=_GRBL_M,
    letters=frozenset("FGIJKLMNPRSTXYZ"),
    computes=False,
    percent=False,
    last_number=10_000_000,
    number_digits=8,
    tool_max=255,
    source="Grbl 1.1h",
    axes_optional=True,
    runs_on=True,
)
_ISO = replace(
    _NGC, name="iso6983", g=_ISO_G, computes=False, source="ISO 6983-1, details from memory", points_matter=True
)
_DIALECTS: dict[DialectName, Dialect] = {dialect.name: dialect for dialect in (_NGC, _GRBL, _ISO)}


def dialect_named(name: DialectName) -> Dialect:
    """The dialect of a post."""
    return _DIALECTS[name]
