"""What was found between plates, as sentences and rows that the text and the page share."""

import math
from collections.abc import Sequence

from camplan.pairing.patterns import off_centre
from camplan.pairing.records import Centre, Held, MatingFound, Pairing, PatternFound
from camplan.planned import Plan, ProjectPlan
from camplan.report.project_picture import fault_marks
from camplan.report.words import counted, duration, figure, micrometres
from camplan.report.words import place as place_words
from camplan.units import Mm


def pattern_said(found: PatternFound) -> list[str]:
    """A sentence for each feature held against the first."""
    return [_held_said(held, within=found.spec.within) for held in found.held]


def mating_said(found: MatingFound) -> str:
    """The gap of a mating in a sentence."""
    spec = found.spec
    if not found.gaps:
        return f"{spec.core} in {spec.cavity}: they do not face each other"
    least, most = min(gap.least for gap in found.gaps), max(gap.most for gap in found.gaps)
    floor = f", {figure(found.floor, places=3)} mm below the core's end" if found.floor is not None else ""
    return (
        f"{spec.core} in {spec.cavity}, closed {figure(found.closed, places=3)} mm deep: gap {figure(least, places=3)} "
        f"to {figure(most, places=3)} mm at {counted(len(found.gaps), 'depth')}, {figure(spec.gap, places=3)} mm "
        f"+- {micrometres(spec.tolerance)} um asked{floor}"
    )


def plan_said(plan: Plan) -> str:
    """A plate's programs, their time and the verdict, in a few words."""
    time = duration(sum(program.seconds for program in plan.programs))
    if not plan.proof.passed:
        return "proof FAILED, no program written"
    return f"{counted(len(plan.programs), 'program')}, about {time}, proof passed"


def hole_rows(held: Held, *, fits: tuple[str, str], pairing: Pairing, within: Mm) -> list[tuple[str, ...]]:
    """A row for every hole, those that are off or alone first: the letter of its mark, what is to be said of it, its
    place in the first feature's plate and in the other's, how far they are apart in um, and both sizes with fits."""
    letters = {mark.at: mark.letter for mark in fault_marks(pairing)}

    def letter(one: Centre) -> str:
        return letters.get((round(one.at[0], 6) + 0.0, round(one.at[1], 6) + 0.0), "")

    off = [pair for pair in held.pairs if off_centre(pair, within=within)]
    well = [pair for pair in held.pairs if not off_centre(pair, within=within)]
    rows: list[tuple[str, ...]] = []
    for pair in off:
        rows.append((letter(pair.other), "off", *_both(pair.first, pair.other, off=pair.off, fits=fits)))
    for one in held.missing:
        rows.append((letter(one), "missing", place_words(one.own), "", "", _sizes(one, fit=fits[0]), ""))
    for one in held.extra:
        rows.append((letter(one), "too many", "", place_words(one.own), "", "", _sizes(one, fit=fits[1])))
    for pair in well:
        rows.append(("", "fits", *_both(pair.first, pair.other, off=pair.off, fits=fits)))
    return rows


def _both(first: Centre, other: Centre, *, off: tuple[Mm, Mm], fits: tuple[str, str]) -> tuple[str, ...]:
    away = micrometres(math.hypot(*off))
    return place_words(first.own), place_words(other.own), away, _sizes(first, fit=fits[0]), _sizes(other, fit=fits[1])


def _sizes(one: Centre, *, fit: str) -> str:
    sizes = " and ".join(figure(diameter, places=3) for diameter in one.diameters)
    return f"{sizes} ({fit})" if fit else sizes


def _held_said(held: Held, *, within: Mm) -> str:
    off = sum(off_centre(pair, within=within) for pair in held.pairs)
    farthest = max((math.hypot(*pair.off) for pair in held.pairs), default=0.0)
    parts = [
        f"{counted(len(held.pairs) - off, 'hole')} within {micrometres(within)} um (at most {micrometres(farthest)} um)"
        if held.pairs and not off
        else f"{counted(len(held.pairs) - off, 'hole')} within {micrometres(within)} um"
    ]
    parts += [f"{off} off, by up to {micrometres(farthest)} um"] if off else []
    parts += [f"{len(held.missing)} missing"] if held.missing else []
    parts += [f"{len(held.extra)} too many"] if held.extra else []
    return f"{held.other} on {held.first}: {', '.join(parts)}"


def plans_in_order(project: ProjectPlan) -> Sequence[tuple[str, Plan]]:
    """The plans by plate name, in the project's order."""
    return [(spec.name, project.plans[spec.name]) for spec in project.pairing.project.plates]
