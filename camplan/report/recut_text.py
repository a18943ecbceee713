"""What a measured size asks for and what was written, said to a person and as a record."""

import json
import textwrap

from camplan.operations.records import Purpose
from camplan.recut.asked import Along
from camplan.recut.gives import Verdict
from camplan.recut.records import Recut
from camplan.recut.sides import Side, facing
from camplan.recut.sizes import LEAST_FLOOR, Sized, next_deeper, sides_of
from camplan.report.summary import findings_text, verdict
from camplan.report.words import counted, figure, findings_in_order, micrometres
from camplan.units import UM_PER_MM, Mm

SCHEMA = "camplan.skim/1"
_AXES = "XY"


def recut_text(found: Recut, *, out: str, plan: str, width: int) -> str:
    """The sizes and what they ask for, the skim, its proof, and what to type next."""
    blocks = [
        [f"{found.title}: {found.feature}{_regions(found)}"],
        *(_size(one, found=found, width=width) for one in found.sizes),
        _skim(found, width=width),
        _lines(verdict(found.proof), width=width) if found.proof is not None else [],
        findings_text(findings_in_order(found.findings), width=width),
        _written(found, out=out, width=width),
        _next(found, plan=plan, width=width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def skim_json(found: Recut) -> str:
    """The skim as a record; the same measurements on the same plan give the same bytes."""
    document = {
        "schema": SCHEMA,
        "title": found.title,
        "units": "mm",
        "feature": found.feature,
        "regions": list(found.walls.numbers),
        "skim": found.number,
        "rounds": found.skims,
        "most_a_round_um": _um(found.limit),
        "least_a_round_um": _um(found.least),
        "deeper_mm": _exact(next_deeper(found.walls, sizes=found.sizes)[0]),
        "grow_mm": [_exact(one / 2.0) for one in found.grow.widths],
        "walls_grow_mm": {side.value: _exact(found.grow.at(side)) for side in Side},
        "sizes": [
            {
                "along": one.asked.along.value,
                "wall": None if one.asked.wall is None else one.asked.wall.value,
                "at_depth_mm": None if one.asked.at_depth is None else _exact(one.asked.at_depth),
                "at_mm": None if one.asked.at is None else [_exact(value) for value in one.asked.at],
                "readings_mm": [_exact(value) for value in one.asked.readings],
                "mean_mm": None if one.size is None else _exact(one.size.mean),
                "half_width_mm": None if one.size is None else _exact(one.size.half_width),
                "drawn_mm": _exact(one.drawn),
                "programmed_mm": _exact(one.programmed),
                "wanted_mm": _exact(one.wanted),
                "verdict": one.give.verdict.value,
                "wall_gives_um": _um(one.give.wall),
                "wall_gives_half_width_um": _um(one.give.half_width),
                "short_um": None if one.size is None else _um(one.give.short),
                "made_up_um": _um(one.give.made_up),
                "aim_mm": _exact(one.give.aim),
                "off_a_wall_um": _um(one.give.width),
            }
            for one in found.sizes
        ],
        "programs": [
            {
                "file": one.file,
                "setting": one.setting,
                "cutter": None if one.trace else one.cutter.name,
                "sha256": one.check_sum,
                "operations": [
                    {
                        "feature": each.feature,
                        "purpose": each.purpose.value,
                        "first_line": each.first_line,
                        "last_line": each.last_line,
                        "rpm": each.rpm,
                        "feed_mm_min": each.feed,
                        "levels_mm": [_exact(level) for level in each.levels],
                        "reasons": [
                            {"figure": reason.figure, "sentence": reason.sentence, "source": reason.source}
                            for reason in each.reasons
                        ],
                    }
                    for each in one.operations
                ],
            }
            for one in found.programs
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _regions(found: Recut) -> str:
    count = len(found.walls.feature.regions)
    if len(found.walls.numbers) == count:
        return "" if count == 1 else f", all {count} regions"
    return f", region {found.walls.numbers[0]} of {count}"


def _name(one: Sized) -> str:
    where = (
        ""
        if one.asked.at is None
        else f"{' the island' if one.core else ''} at X {figure(one.asked.at[0])} Y {figure(one.asked.at[1])}"
    )
    if one.asked.along is Along.DEPTH:
        return "Depth"
    if one.asked.along is Along.WALL:
        return f"The {one.asked.wall} wall{' of' if where and one.island else ''}{where}"
    if one.asked.at_depth is not None:
        where += f", {figure(one.asked.at_depth, places=3)} deep"
    return f"Diameter{where}" if one.asked.along is Along.DIAMETER else f"Across {one.asked.along.value.upper()}{where}"


def _size(one: Sized, *, found: Recut, width: int) -> list[str]:
    give = one.give
    made = f"the program was to make {_mm(one.programmed)}" + (f", skim {one.skim}" if one.skim else "")
    if one.asked.along is Along.WALL:
        made = f"the program was to put it {_beside(one.programmed)}" + (f", skim {one.skim}" if one.skim else "")
    if one.size is None:
        said = f"{_name(one)}: not measured, the mate does not go in; {made}."
        step = (
            f"A step of {_whole(give.width)} um off {_small(_what(one))}, so that {_mm(give.aim)} are asked for; then "
            "try the mate again. What is measured says more than what sticks."
        )
        return [*_lines(said, width=width), *_lines(step, width=width, first="  ")]
    size = one.size
    said = (
        f"{_name(one)}: {_mm(size.mean)} mm measured (+/- {_mm(size.half_width)}, {counted(size.count, 'reading')}), "
        f"{_mm(one.wanted)} wanted{'' if one.asked.wanted is not None else ', as drawn'}; {made}."
    )
    if one.asked.along is Along.WALL:
        said = (
            f"{_name(one)} stands {_beside(size.mean)} (+/- {_mm(size.half_width)}, "
            f"{counted(size.count, 'reading')}), wanted as drawn; {made}."
        )
    lines = _lines(said, width=width)
    beside = "short of" if give.short >= 0.0 else "beyond"
    stands = f"it stands {_whole(abs(give.short))} um {beside} where the program put it"
    if one.together is not None:
        stands = f"both walls together stand {_whole(abs(give.short))} um {beside} where programs put them"
    match give.verdict:
        case Verdict.CUT:
            what = f"{_what(one)} must give {_whole(give.wall)} um (+/- {_whole(give.half_width)}); {stands}."
        case Verdict.FITS:
            what = f"{_fits(one)} Nothing needs cutting."
        case Verdict.TOO_THIN:
            least = LEAST_FLOOR if one.asked.along is Along.DEPTH else found.least
            what = (
                f"{_what(one)} must give {_whole(give.wall)} um (+/- {_whole(give.half_width)}), and a cut of less "
                f"than {_whole(least)} um forms no chip with this cutter: it would rub, and nothing would go. Ask for "
                "the size that is there, or take a cutter with a keener edge."
            )
        case Verdict.TOO_LARGE:
            what = _too_large(one)
    lines += _lines(what, width=width, first="  ")
    if give.verdict is Verdict.CUT:
        lines += _lines(
            _taught(one),
            width=width,
            first="  ",
        )
        mine = sides_of(one, walls=found.walls, sizes=found.sizes)
        asked = {each.asked.axis for each in found.sizes}
        stay = [_AXES[axis] for axis in (0, 1) if axis not in asked and not set(mine) & set(facing(axis))]
        if one.asked.wall is not None and len(found.sizes) == 1:
            lines += _lines("No other wall is touched.", width=width, first="  ")
        elif stay and one.asked.along is not Along.DEPTH:
            what = f"Walls that face {stay[0]} were not measured and stay where the program before put them."
            lines += _lines(what, width=width, first="  ")
    return lines


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _beside(place: Mm) -> str:
    """Where a wall stands from the drawn one: what is beyond is gone."""
    if round(place * UM_PER_MM, 1) == 0.0:
        return "where it is drawn"
    return f"{_mm(abs(place))} mm {'beyond' if place > 0.0 else 'short of'} the drawn one"


def _what(one: Sized) -> str:
    if one.asked.wall is not None:
        return f"The {one.asked.wall} wall{' of the island' if one.island else ''}"
    if one.island:
        return "Each wall of the island"
    return "The floor" if one.asked.along is Along.DEPTH else "Each wall"


def _fits(one: Sized) -> str:
    give = one.give
    off = f"{_what(one)} is {_whole(abs(give.wall))} um {'short' if give.wall >= 0.0 else 'beyond'}"
    if abs(give.wall) <= give.half_width:
        return f"{off}, which the measurement (+/- {_whole(give.half_width)}) cannot tell from none."
    return f"{off}, which is within its tolerance."


def _too_large(one: Sized) -> str:
    assert one.size is not None
    over = abs(one.size.mean - one.wanted)
    if one.asked.along is Along.WALL:
        return (
            f"It is {_whole(over)} um too far, and what is gone is gone: nothing is cut. What can still be done: move "
            f"the datum by {_whole(over)} um, and with it all that is counted from it, if this wall may be the one "
            "that the others are measured from; or line it and cut that."
        )
    if one.core:
        return (
            f"It is {_whole(over)} um too small, and what is gone is gone: nothing is cut. What can still be done: "
            f"put a sleeve over it and cut that; or make its mate {_whole(over)} um smaller than was meant, so that "
            "the play is as wanted."
        )
    if one.asked.along is Along.DEPTH:
        return (
            f"It is {_whole(over)} um too deep, and what is gone is gone: nothing is cut. What can still be done: skim "
            f"the plate's top by {_whole(over)} um, and with it all that is counted from there; or make what stands on "
            "this floor so much higher."
        )
    return (
        f"It is {_whole(over)} um too large, and what is gone is gone: nothing is cut. What can still be done: line it "
        f"with a sleeve and cut that; or make its mate {_whole(over)} um larger than was meant, so that the play is as "
        f"wanted; or move what is wanted to {_mm(one.size.mean)}, if the part may be larger."
    )


def _taught(one: Sized) -> str:
    """What is made up for of how far walls end short, and why no more."""
    give, taught = one.give, one.taught
    if give.short < 0.0 and give.made_up < taught.sure:
        return (
            f"The cutter cut {_whole(-give.short)} um wider than the program said: the skim stays so much short, and "
            "is not cut too far."
        )
    if not taught.count:
        if one.far:
            return "That is too far to be a cutter's size or a mill's play, so nothing of it is made up for."
        return "Z is touched off anew, so nothing is made up for."
    if one.asked.along is Along.DEPTH:
        return (
            f"{_whole(give.made_up)} um of that, which are sure, are made up for: as long as the zero of Z stays that "
            "it was cut with. Where Z is touched off anew, say --new-zero, or it is cut too deep."
        )
    if one.together is not None:
        return (
            f"The wall across from it stays as it stands; up to {_whole(one.bends)} um may be bending of this one, "
            f"which a thin cut does not repeat; {_sure(give.made_up)}."
        )
    if (one.reading is not None and one.reading.cut) or taught.mean != one.lasting:
        return (
            f"{counted(taught.count, 'skim')} with this cutter along this direction ended {_whole(taught.mean)} um "
            f"(+/- {_whole(taught.half_width)}) short of the program, bending left out; "
            f"{_sure(give.made_up)}."
        )
    return (
        f"Up to {_whole(one.bends)} um of that may be bending under the heavier cut, which a thin one does not repeat; "
        f"{_sure(give.made_up)}. The wall may end a little short; measured after "
        "it, the next skim knows by how much."
    )


def _sure(made_up: Mm) -> str:
    if made_up * UM_PER_MM < 0.5:
        return "nothing is sure enough to be made up for"
    return f"{_whole(made_up)} um, which are sure, are made up for"


def _skim(found: Recut, *, width: int) -> list[str]:
    if not found.cut:
        return []
    said = []
    cut = [one for one in found.sizes if one.give.verdict is Verdict.CUT]
    deep = [one.give.width for one in cut if one.asked.along is Along.DEPTH]
    if deep:
        what = f"The floor: {_whole(deep[0])} um off all of it by the cutters that cut it, up to the walls."
        said += _lines(what, width=width)
    widest = max((one.give.width for one in cut if one.asked.along is not Along.DEPTH), default=0.0)
    if widest == 0.0:
        return said
    rounds = "one round" if found.skims == 1 else f"{found.skims} rounds"
    each = "" if found.skims == 1 else " each"
    corners = any(each.purpose is Purpose.CORNERS for one in found.programs for each in one.operations)
    then = ", then the corners by the cutters that cut them before" if corners else ""
    what = (
        f"The {_which(cut)}: {rounds} of {_whole(widest / found.skims)} um{each} off the wall (at most "
        f"{_whole(found.limit)}, at least {_whole(found.least)}), then a spring pass at the same place{then}."
    )
    return [*said, *_lines(what, width=width)]


def _which(cut: list[Sized]) -> str:
    walls = [one for one in cut if one.asked.along is not Along.DEPTH]
    return f"{walls[0].asked.wall} wall" if len(walls) == 1 and walls[0].asked.wall is not None else "walls"


def _written(found: Recut, *, out: str, width: int) -> list[str]:
    if not found.programs:
        if found.cut:
            return _lines("The skim failed its proof, and nothing was written.", width=width)
        return []
    lines = [f"Written to {out}; run in this order:"]
    settings = dict.fromkeys(one.setting for one in found.programs)
    for setting in settings:
        if len(settings) > 1:
            lines.append(f"  Setting: {setting}")
        lines += [
            f"  {one.file}" + ("  in the air, spindle at rest" if one.trace else f"  {one.cutter.name}")
            for one in found.programs
            if one.setting == setting
        ]
    return lines


def _next(found: Recut, *, plan: str, width: int) -> list[str]:
    if not found.programs:
        return []
    words = ["camplan", "recut", _word(plan), _word(found.feature)]
    if len(found.walls.numbers) < len(found.walls.feature.regions):
        words += ["--region", str(found.walls.numbers[0])]
    for one in found.sizes:
        words += next_words(one)
    lie = (
        "The plate must lie as it lay when it was cut, from the same zeros; one that was taken off is found again by "
        "`camplan locate`."
    )
    return [
        *_lines(lie, width=width),
        "Then measure again, best three times or more, and type:",
        f"  {' '.join(words)}",
    ]


def next_words(one: Sized) -> list[str]:
    """A size as it is to be typed when it was measured again."""
    along = one.asked.along
    words = [] if one.asked.wall is None else ["--wall", one.asked.wall.value]
    if along is not Along.WALL:
        words += ["--across", along.value] if along in (Along.X, Along.Y) else [f"--{along.value}"]
    if one.asked.at is not None:
        words += ["--at", figure(one.asked.at[0], places=3), figure(one.asked.at[1], places=3)]
    if one.asked.at_depth is not None:
        words += ["--at-depth", figure(one.asked.at_depth, places=3)]
    words += ["--stands-short" if along is Along.WALL else "--measured", "..."]
    if one.asked.wanted is not None:
        words += ["--wanted", figure(one.asked.wanted, places=4)]
    return words


def _word(text: str) -> str:
    return f'"{text}"' if " " in text else text


def _mm(value: Mm) -> str:
    return f"{value:.3f}"


def _whole(value: Mm) -> str:
    return micrometres(round(value * UM_PER_MM, 1) / UM_PER_MM)


def _um(value: Mm) -> float:
    return round(value * UM_PER_MM, 2) + 0.0


def _exact(value: Mm) -> float:
    return round(value, 6) + 0.0


def _lines(text: str, *, width: int, first: str = "") -> list[str]:
    rest = first + "  "
    return textwrap.wrap(
        text, width=max(width, 40), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
