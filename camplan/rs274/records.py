"""What a post allows and wants, and what reading a program gives."""

from dataclasses import dataclass
from typing import Literal

from camplan.findings import Finding
from camplan.moves.records import Move
from camplan.moves.table import MotionTable
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """A controller's dialect, read from ``posts/NAME.toml``."""

    name: str
    title: str
    dialect: Literal["rs274ngc", "grbl", "iso6983"]
    extension: str
    decimals: int
    line_length: int
    line_numbers: bool
    line_number_step: int
    percent_lines: bool
    comments: bool
    cycles: bool
    changes_cutters: bool
    arc_tolerance: Mm
    arc_radius_max: Mm
    preamble: tuple[str, ...]
    closing: tuple[str, ...]
    source: str
    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """Program text, and for each move its first and last 1-based line."""

    text: str
    lines: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutterChange:
    """From ``row`` of the motions on, tool ``number`` is in the spindle; ``cutter`` is what a comment called it."""

    row: int
    number: int
    cutter: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadProgram:
    """A program read back: its motions with line numbers, its moves, and findings (with line) on its text.

    ``motions`` are those of ``moves``, but that places in XY which no line has said yet are those said next; a height
    that none has said is NaN.  ``move_lines`` is the 1-based line of each move.
    """

    file: str
    moves: tuple[Move, ...]
    motions: MotionTable
    findings: tuple[Finding, ...]
    comments: tuple[tuple[int, str], ...]
    move_lines: tuple[int, ...] = ()
    changes: tuple[CutterChange, ...] = ()
