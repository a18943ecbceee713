"""Measures whole runs of ``camplan plan`` as a user starts them, and holds them against the figures we want.

Run it by hand from the checkout: ``python tests/bench/run.py``.  Each run is a process of its own, so that its time
holds the start of Python, and its memory is its own.  Figures are for two cores of an ordinary computer; the exit
code is 1 if one of them is missed.
"""

import json
import math
import os
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import shapely

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path.insert(0, str(HERE))

import plates  # noqa: E402

EXAMPLES = ("first", "cavity", "back", "nest", "scale")
_COMMENT = re.compile(r"\([^)]*\)")
_WORD = re.compile(r"([A-Z])(-?[0-9.]+)")
MB_PER_KB = 1.0 / 1024.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One process: its exit code, wall time in s and largest resident memory in MB."""

    code: int
    seconds: float
    megabytes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One figure against its limit; the smaller, the better."""

    what: str
    value: float
    limit: float
    unit: str

    @property
    def held(self) -> bool:
        return self.value <= self.limit


def main() -> int:
    """Measure everything; 1 if a figure is missed or a run failed."""
    rows: list[Row] = []
    failed: list[str] = []
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        for example in EXAMPLES:
            run = plan(ROOT / "examples" / example / f"{example}.toml", out=place / example)
            rows.append(Row(what=f"example {example}", value=run.seconds, limit=3.0, unit="s"))
            failed.extend(_failure(example, run))

        few, many, one = (
            plates.many_pockets(columns=5, rows=4),
            plates.many_pockets(columns=20, rows=10),
            plates.one_pocket(),
        )
        runs = {}
        for bench in (few, many, one):
            job = plates.written(bench, folder=place)
            runs[bench.name] = plan(job, out=place / bench.name)
            failed.extend(_failure(bench.name, runs[bench.name]))
        large = runs[many.name]
        rows.append(
            Row(
                what=f"{len(many.pockets)} pockets, {many.vertices} vertices", value=large.seconds, limit=15.0, unit="s"
            )
        )
        rows.append(Row(what="the same, largest memory", value=large.megabytes, limit=1024.0, unit="MB"))
        ratio = large.seconds / runs[few.name].seconds
        rows.append(
            Row(
                what=f"ten times the pockets ({runs[few.name].seconds:.2f} s to {large.seconds:.2f} s)",
                value=ratio,
                limit=12.0,
                unit="x",
            )
        )
        rows.append(
            Row(
                what=f"one pocket of {one.vertices} vertices, 3 islands",
                value=runs[one.name].seconds,
                limit=10.0,
                unit="s",
            )
        )
        for bench in (few, many, one):
            if runs[bench.name].code in (0, 1):
                level, down, ideal = roughing(bench, out=place / bench.name)
                what = (
                    f"{bench.name}: {level / 1000:.1f} m of roughing over A/s + P/2 ({down / 1000:.1f} m of ways down)"
                )
                rows.append(Row(what=what, value=level / ideal, limit=1.15, unit="x"))
    moves, seconds = one_section()
    rows.append(
        Row(
            what=f"proof of one section of {moves} moves, for 30,000",
            value=seconds * 30_000 / moves,
            limit=1.5,
            unit="s",
        )
    )

    for row in rows:
        print(f"{'ok    ' if row.held else 'MISSED'} {row.value:9.2f} {row.unit:2} (at most {row.limit:g})  {row.what}")
    for line in failed:
        print(line)
    return 0 if all(row.held for row in rows) and not failed else 1


def plan(job: Path, *, out: Path) -> Run:
    """``python -m camplan plan`` in a process of its own."""
    command = [sys.executable, "-m", "camplan", "plan", str(job), "-o", str(out)]
    begin = time.perf_counter()
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    return Run(code=process.returncode, seconds=time.perf_counter() - begin, megabytes=usage.ru_maxrss * MB_PER_KB)


def roughing(bench: plates.Bench, *, out: Path) -> tuple[float, float, float]:
    """Of the first roughing, all levels, in mm: feed moves on the level, the ways down to it, and the yardstick.

    The yardstick is A/s + P/2 of the region that the tool's centre may occupy: what a contour-parallel path needs.
    """
    document = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    for program in document["programs"]:
        rough = [operation for operation in program["operations"] if operation["purpose"] == "rough"]
        if not rough:
            continue
        radius = document["cutters"][program["cutter"]]["diameter_mm"] / 2.0
        lines = (out / program["file"]).read_text(encoding="utf-8").splitlines()
        level, down = fed(lines, spans=[(one["first_line"], one["last_line"]) for one in rough])
        room = shapely.MultiPolygon(bench.pockets).buffer(-(radius + plates.FINISH), quad_segs=32)
        levels = sum(len(one["levels_mm"]) for one in rough)
        return level, down, levels * (room.area / rough[0]["step_over_mm"] + room.length / 2.0)
    raise SystemExit(f"{bench.name}: no roughing in plan.json")


def fed(lines: list[str], *, spans: list[tuple[int, int]]) -> tuple[float, float]:
    """Length in mm of the G1, G2 and G3 moves on lines of ``spans``: those on a level, and those that go down.

    Reads absolute mm, with I and J from the start of an arc, and nothing else.
    """
    at = {"X": 0.0, "Y": 0.0, "Z": 0.0}
    mode = 0
    level = down = 0.0
    for number, line in enumerate(lines, start=1):
        words = [(letter, float(value)) for letter, value in _WORD.findall(_COMMENT.sub("", line))]
        mode = next((int(value) for letter, value in words if letter == "G" and value in (0.0, 1.0, 2.0, 3.0)), mode)
        goal = {**at, **{letter: value for letter, value in words if letter in at}}
        if mode and any(first <= number <= last for first, last in spans):
            centre = {letter: value for letter, value in words if letter in "IJ"}
            straight = math.dist(tuple(at.values()), tuple(goal.values()))
            length = _arc(at, goal, centre=centre, clockwise=mode == 2) if centre else straight
            if goal["Z"] == at["Z"]:
                level += length
            else:
                down += length
        at = goal
    return level, down


def _arc(at: dict[str, float], goal: dict[str, float], *, centre: dict[str, float], clockwise: bool) -> float:
    i, j = centre.get("I", 0.0), centre.get("J", 0.0)
    begin = math.atan2(-j, -i)
    end = math.atan2(goal["Y"] - at["Y"] - j, goal["X"] - at["X"] - i)
    turn = (begin - end if clockwise else end - begin) % (2.0 * math.pi) or 2.0 * math.pi
    return math.hypot(turn * math.hypot(i, j), goal["Z"] - at["Z"])


def one_section() -> tuple[int, float]:
    """Moves of a long program and the seconds that the sweep of one of its sections takes, in a process of its own."""
    done = subprocess.run(
        [sys.executable, str(HERE / "proof.py")], cwd=ROOT, capture_output=True, text=True, check=True
    )
    found = re.search(r"one section of (\d+) moves: ([0-9.]+) s", done.stdout)
    if found is None:
        raise SystemExit(f"proof.py said something else: {done.stdout[:200]}")
    return int(found[1]), float(found[2])


def _failure(name: str, run: Run) -> list[str]:
    return [] if run.code in (0, 1) else [f"FAILED {name}: exit code {run.code}"]


if __name__ == "__main__":
    sys.exit(main())
