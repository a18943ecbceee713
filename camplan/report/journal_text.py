"""A journal as a table: what was measured after which skim, what each was to make, and what that taught."""

import textwrap

from camplan.recut.history import Reading, walls_along
from camplan.recut.sides import Side
from camplan.recut.story import Chapter, Skim, Story
from camplan.report.summary import findings_text
from camplan.report.timing_text import timings_lines
from camplan.report.words import counted, figure, findings_in_order, micrometres
from camplan.units import UM_PER_MM, Mm

_HEADINGS = ("after", "feature", "size", "measured mm", "+/- um", "wanted mm", "program mm", "short um", "cutter")
_FIGURES = (3, 4, 5, 6, 7)


def journal_text(story: Story, *, file: str, width: int) -> str:
    """All chapters as tables, the lessons and timed runs; a journal of nothing says so."""
    if not story.chapters and not story.timings:
        return f"{file}: nothing was measured yet; `camplan recut` and `camplan time` write down what is.\n"
    blocks = [[file], *(_chapter(one) for one in story.chapters), _lessons(story, width=width)]
    blocks.append(timings_lines(story.timings, width=width))
    blocks.append(findings_text(findings_in_order(story.findings), width=width))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def size_name(reading: Reading) -> str:
    """What a reading is of: "across x at X 20 Y 25, 2 deep"; of a wall by itself how far it is gone is counted."""
    name = f"across {reading.along}" if reading.along in ("x", "y") else reading.along
    if reading.wall is not None:
        name = f"{reading.wall} wall"
    if reading.at is not None:
        name += f" at X {figure(reading.at[0])} Y {figure(reading.at[1])}"
    if reading.wall is not None:
        name += ", beyond the drawn one"
    if reading.at_depth is not None:
        name += f", {figure(reading.at_depth)} deep"
    return name


def _chapter(chapter: Chapter) -> list[str]:
    rows: list[tuple[str, ...]] = [_HEADINGS]
    rows += [_skim(one) if isinstance(one, Skim) else _reading(one) for one in chapter.told]
    sizes = [max(len(row[place]) for row in rows) for place in range(len(_HEADINGS))]
    lines = [f"Cut by {chapter.folder}:"]
    for row in rows:
        cells = [
            cell.rjust(size) if place in _FIGURES else cell.ljust(size)
            for place, (cell, size) in enumerate(zip(row, sizes, strict=True))
        ]
        lines.append("  " + "  ".join(cells).rstrip())
    return lines


def _reading(one: Reading) -> tuple[str, ...]:
    return (
        f"skim {one.skim}" if one.skim else "first cut",
        one.feature,
        size_name(one),
        f"{one.mean:.3f}",
        _um(one.half_width),
        f"{one.wanted:.3f}",
        f"{one.programmed:.3f}",
        _um(one.short),
        one.cutter,
    )


def _skim(one: Skim) -> tuple[str, ...]:
    aims = ", ".join(_aim(along, aim=aim, skim=one) for along, aim in one.aims)
    cutters = ", ".join(dict.fromkeys(program.cutter for program in one.skim.programs))
    what = f"skim {one.skim.number} written" if one.run else f"skim {one.skim.number}, not run"
    return (what, one.skim.feature, f"to make {aims}", "", "", "", "", "", cutters)


def _aim(along: str, *, aim: Mm, skim: Skim) -> str:
    """What a skim was to make along a direction, and by which wall if it cut only one of the two."""
    if along in set(Side):
        return f"{along} wall {aim:+.3f}"
    cut = set(skim.skim.walls) | set(skim.skim.island_walls)
    own = [side for side in walls_along(along) if side in cut]
    return f"{along} {aim:.3f}" + (f" by the {own[0]} wall" if len(own) == 1 else "")


def _lessons(story: Story, *, width: int) -> list[str]:
    lines = []
    for one in story.lessons:
        along = f"along {one.along.upper()}" if one.along in ("x", "y") else f"in {one.along}"
        said = (
            f"{one.cutter} in {one.material}, {along}: walls end {_um(one.taught.mean)} um (+/- "
            f"{_um(one.taught.half_width)}) short of the program, by {counted(one.taught.count, 'skim')}; "
            f"{_um(one.taught.sure)} um are sure."
        )
        lines += textwrap.wrap(said, width=max(width, 40), subsequent_indent="  ", break_on_hyphens=False)
    return lines


def _um(value: Mm) -> str:
    return micrometres(round(value * UM_PER_MM, 1) / UM_PER_MM)
