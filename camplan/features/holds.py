"""What a hole holds: a fit, a dowel pin, a thread, a screw or a magnet, and the sizes that follow from it.

Sizes are mm, depths positive below the plate's top.  The tables come from `camplan.catalogue.standards`.
"""

from dataclasses import dataclass
from typing import Literal, assert_never

from camplan.catalogue.standards import FitClass, Limits, ScrewSize, Series, ThreadSize
from camplan.units import Mm

Way = Literal["press", "slip", "glue"]

MOUTH = 1.05
"""A thread's mouth is chamfered to so much of its nominal diameter (common practice, no source)."""

RUN_OUT = 3.0
"""Pitches that a hole goes deeper than its thread, for the tap's lead (common practice, no source)."""

PIN_SIZES: tuple[Mm, Mm] = (1.0, 20.0)
"""Diameters of dowel pins (ISO 8734:1997, scope)."""

_DRAWN: Mm = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A hole made to the middle of a tolerance; ``pin`` is the dowel pin's class and ``way`` how it sits (None: a
    fit by itself)."""

    fit: FitClass
    pin: FitClass | None = None
    way: Way | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A hole for a tap; the thread is full down to ``depth`` (None: through)."""

    size: ThreadSize
    depth: Mm | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A clearance hole, its head bored down to ``head`` (None: no head)."""

    size: ScrewSize
    series: Series
    head: Mm | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Magnet:
    """A flat socket, ``gap`` wider than the magnet (negative: narrower)."""

    way: Way
    gap: Mm


Holds = Fit | Thread | Screw | Magnet


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A size to gauge: the hole is aimed at ``aim`` and good from ``least`` to ``most``; ``name`` such as "6 H7"."""

    name: str
    nominal: Mm
    least: Mm
    most: Mm
    aim: Mm
    source: str

    @property
    def words(self) -> str:
        """All four figures in a line."""
        least, most = f"{self.least:.3f}", f"{self.most:.3f}"
        aim = f"{self.aim:.4f}".removesuffix("0")
        return f"{self.name}: {least} to {most}, aim {aim}, go {least} / no-go {most}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """What a drawn circle becomes: the hole's ``diameter``, the ``bore`` of a head above it, the size to gauge."""

    diameter: Mm
    bore: Mm | None = None
    gauge: Gauge | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Why a drawn circle cannot be that hole, and what would be."""

    message: str
    accepted: str


def nominal_size(holds: Holds | None) -> Mm | None:
    """The size of a point that holds something; None where only the drawing or ``diameter_mm`` can say it."""
    return holds.size.nominal if isinstance(holds, Thread | Screw) else None


def sized(holds: Holds, *, drawn: Mm) -> Sized | Refused:
    """What a circle drawn ``drawn`` wide becomes."""
    match holds:
        case Fit():
            return _fitted(holds, nominal=round(drawn, 4))
        case Thread(size=size):
            allowed = {size.nominal: "nominal", size.drill: "tapping drill"}
            return _of_size(size.name, drawn=drawn, allowed=allowed) or Sized(diameter=size.drill)
        case Screw(size=size, series=series, head=head):
            allowed = {size.nominal: "nominal", size.clearance[series]: f"{series} clearance"}
            bore = size.bore if head is not None else None
            if bore is not None:
                allowed[bore] = "head's bore"
            return _of_size(size.name, drawn=drawn, allowed=allowed) or Sized(
                diameter=size.clearance[series], bore=bore
            )
        case Magnet(gap=gap):
            if drawn + gap <= 0.0:
                return Refused(message=f"a magnet of {drawn:g} mm leaves no socket", accepted="a smaller gap_um")
            return Sized(diameter=drawn + gap)
        case _:
            assert_never(holds)


def pin_limits(holds: Fit, *, nominal: Mm) -> Limits | None:
    """The limits of the pin that goes into a fit; None without a pin."""
    return holds.pin.limits(nominal) if holds.pin is not None else None


def _fitted(holds: Fit, *, nominal: Mm) -> Sized | Refused:
    fit = holds.fit
    low, high = PIN_SIZES
    if holds.pin is not None and not low <= nominal <= high:
        return Refused(
            message=f"there is no dowel pin of {nominal:g} mm (ISO 8734)", accepted=f"circles of {low:g} to {high:g} mm"
        )
    limits = fit.limits(nominal)
    if limits is None:
        return Refused(message=f"{fit.name} is not known for {nominal:g} mm", accepted=f"circles {fit.known}")
    aim = round(nominal + limits.middle, 6)
    gauge = Gauge(
        name=f"{nominal:g} {fit.name}",
        nominal=nominal,
        least=round(nominal + limits.lower, 6),
        most=round(nominal + limits.upper, 6),
        aim=aim,
        source=limits.source,
    )
    return Sized(diameter=aim, gauge=gauge)


def _of_size(name: str, *, drawn: Mm, allowed: dict[Mm, str]) -> Refused | None:
    if any(abs(drawn - size) <= _DRAWN for size in allowed):
        return None
    sizes = ", ".join(f"{size:g} mm ({what})" for size, what in allowed.items())
    return Refused(message=f"a circle of {drawn:.3f} mm is not {name}", accepted=f"points, or circles of {sizes}")
