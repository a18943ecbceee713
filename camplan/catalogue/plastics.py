"""Plastics to be moulded, read from ``tooling/plastics/NAME.toml``."""

from dataclasses import dataclass
from pathlib import Path

from camplan import resources
from camplan.catalogue.reading import looked_up, numbers, opened, optional
from camplan.errors import InputError, Problem
from camplan.fields import Fields
from camplan.findings import Finding
from camplan.units import PERCENT, KgPerM3, Mm2PerS

FOLDER = "tooling/plastics"
MOST_SHRINKAGE = 0.10
"""No plastic shrinks by more than this share of the cavity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A published range, ``least`` to ``most``."""

    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermal:
    """What the cooling time asks for: ``diffusivity`` k / (rho c), and as it is printed (None: it is not)."""

    diffusivity: Mm2PerS
    printed: Mm2PerS | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plastic:
    """One plastic, unfilled; None where nothing is published.

    ``shrinkage`` and its ``start`` are shares of the cavity's size (ISO 294-4:2018), ``vent_land`` mm,
    ``clamp_pressure`` N/mm2 in the cavity, ``gate_constant`` a side gate's thickness over the wall's,
    ``runner_factor`` how much wider its runners are, temperatures degrees C.
    """

    name: str
    title: str
    shrinkage: Span
    start: float
    shrinkage_source: str
    vent_land: Span
    vent_source: str
    clamp_pressure: Span | None
    clamp_source: str
    gate_constant: float | None
    gate_source: str
    runner_factor: float
    runner_source: str
    density: KgPerM3
    density_source: str
    thermal: Thermal | None
    melt: Span | None
    mould: Span | None
    temperature_source: str
    ejection: Span | None
    ejection_source: str
    cautions: tuple[str, ...]
    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedPlastic:
    """A plastic, and hidden names."""

    plastic: Plastic
    findings: tuple[Finding, ...]


def load_plastic(name: str, *, beside: Path) -> LoadedPlastic:
    """The plastic ``name``; InputError for an unknown name (naming near ones) and for a file with anything wrong."""
    known = name if name in resources.named(FOLDER, beside=beside) else name.lower()
    looked = looked_up(known, folder=FOLDER, beside=beside)
    problems: list[Problem] = []
    fields = opened(looked.path, problems=problems)
    plastic = read_plastic(fields, name=known, file=str(looked.path)) if fields is not None else None
    if problems or plastic is None:
        raise InputError(tuple(problems))
    return LoadedPlastic(plastic=plastic, findings=looked.findings)


def read_plastic(fields: Fields, *, name: str, file: str) -> Plastic:
    """One plastic; problems go into ``fields.problems``, and then it must not be used."""
    percent = numbers(fields, "shrinkage_percent", count=2, at_least=0.0, at_most=PERCENT * MOST_SHRINKAGE, rising=True)
    start = fields.number("shrinkage_start_percent", at_least=0.0, at_most=PERCENT * MOST_SHRINKAGE)
    if not percent[0] <= start <= percent[1]:
        accepted = f"{percent[0]:g} to {percent[1]:g}"
        fields.refuse("shrinkage_start_percent", f"{start:g} is outside shrinkage_percent", accepted=accepted)
    clamp = _span(fields, "clamp_pressure_mpa", at_least=1.0, at_most=300.0)
    gate = optional(fields, "gate_constant", at_least=0.1, at_most=1.0)
    runner = optional(fields, "runner_factor", at_least=0.5, at_most=2.0)
    density = fields.number("density_kg_m3", at_least=500.0, at_most=3000.0)
    melt = _span(fields, "melt_c", at_least=50.0, at_most=500.0)
    mould = _span(fields, "mould_c", at_least=0.0, at_most=300.0)
    if (melt is None) != (mould is None):
        fields.refuse("melt_c", "stands without mould_c, or the other way round", accepted="both, or neither")
    ejection = _span(fields, "ejection_c", at_least=20.0, at_most=300.0)
    plastic = Plastic(
        name=name,
        title=fields.text("title"),
        shrinkage=Span(least=percent[0] / PERCENT, most=percent[1] / PERCENT),
        start=start / PERCENT,
        shrinkage_source=fields.text("shrinkage_source"),
        vent_land=_spanned(numbers(fields, "vent_land_mm", count=2, at_least=0.001, at_most=0.5, rising=True)),
        vent_source=fields.text("vent_source"),
        clamp_pressure=clamp,
        clamp_source=_source(fields, "clamp_source", told=clamp is not None),
        gate_constant=gate,
        gate_source=_source(fields, "gate_source", told=gate is not None),
        runner_factor=runner or 1.0,
        runner_source=_source(fields, "runner_source", told=runner is not None),
        density=density,
        density_source=fields.text("density_source"),
        thermal=_thermal(fields, density=density),
        melt=melt,
        mould=mould,
        temperature_source=_source(fields, "temperature_source", told=melt is not None),
        ejection=ejection,
        ejection_source=_source(fields, "ejection_source", told=ejection is not None),
        cautions=fields.texts("cautions", default=()),
        file=file,
    )
    fields.finish(known=("clamp_source", "gate_source", "runner_source", "temperature_source", "ejection_source"))
    return plastic


def _thermal(fields: Fields, *, density: KgPerM3) -> Thermal | None:
    conductivity = optional(fields, "conductivity_w_mk", at_least=0.01, at_most=5.0)
    capacity = optional(fields, "heat_capacity_kj_kgk", at_least=0.1, at_most=10.0)
    printed = optional(fields, "diffusivity_printed_mm2_s", at_least=0.01, at_most=2.0)
    if conductivity is None or capacity is None:
        if conductivity is not None or capacity is not None or printed is not None:
            accepted = "both conductivity_w_mk and heat_capacity_kj_kgk, or nothing of the three"
            fields.refuse("conductivity_w_mk", "does not stand with the heat capacity", accepted=accepted)
        return None
    # W/(m K) over kg/m3 times kJ/(kg K) is 1e-3 m2/s, which is 1e3 mm2/s
    diffusivity = 1000.0 * conductivity / (density * capacity)
    return Thermal(diffusivity=diffusivity, printed=printed, source=fields.text("thermal_source"))


def _span(fields: Fields, key: str, *, at_least: float, at_most: float) -> Span | None:
    if not fields.has(key):
        fields.raw(key)
        return None
    return _spanned(numbers(fields, key, count=2, at_least=at_least, at_most=at_most, rising=True))


def _spanned(pair: tuple[float, ...]) -> Span:
    return Span(least=pair[0], most=pair[1])


def _source(fields: Fields, key: str, *, told: bool) -> str:
    """Where a figure is from: asked for where there is one."""
    return fields.text(key) if told else ""
