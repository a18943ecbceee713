"""Where a plate was found, said to a person and as a record."""

import json
import math
import textwrap

from camplan.comparison.records import Proof
from camplan.recut.placing import Found
from camplan.recut.registration import spread_of_residuals
from camplan.report.summary import findings_text, verdict
from camplan.report.words import counted, figure, micrometres, place
from camplan.units import UM_PER_MM, deg_from_rad

SCHEMA = "camplan.place/1"


def located_text(
    title: str, found: Found, *, proof: Proof | None, files: tuple[str, ...], folder: str, width: int
) -> str:
    """The plate's place, how well the marks fit and how sure the features are, and what was written."""
    blocks = [
        _where(title, found, width=width),
        _marks(found),
        _sure(found, width=width),
        _lines(verdict(proof), width=width) if proof is not None else [],
        findings_text((*found.findings, *(proof.findings if proof is not None else ())), width=width),
        _written(found, proof=proof, files=files, folder=folder, width=width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def place_json(title: str, found: Found) -> str:
    """The place as a record; the same marks give the same bytes."""
    own = found.registration
    spread = spread_of_residuals(own)
    document = {
        "schema": SCHEMA,
        "title": title,
        "units": "mm",
        "turn_deg": round(deg_from_rad(own.pose.turn), 6) + 0.0,
        "turn_error_deg": round(deg_from_rad(found.turn_error), 6),
        "zero_machine_mm": [round(value, 4) + 0.0 for value in found.zero],
        "programs_turned": found.turned,
        "scale": round(found.scale, 7),
        "scale_error": round(found.scale_error, 7),
        "sigma_um": round(found.sigma * UM_PER_MM, 2),
        "residual_um": None if spread is None else round(spread * UM_PER_MM, 2),
        "farthest_mm": [round(value, 4) + 0.0 for value in found.farthest],
        "error_at_farthest_um": round(found.error * UM_PER_MM, 2),
        "ignored_um": round(found.ignored * UM_PER_MM, 3),
        "marks": [
            {"name": name, "off_um": [round(float(value) * UM_PER_MM, 2) + 0.0 for value in off]}
            for name, off in zip(found.names, own.residuals, strict=True)
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _where(title: str, found: Found, *, width: int) -> list[str]:
    degrees = deg_from_rad(found.registration.pose.turn)
    x, y = found.zero
    turn = (
        f"turned by {degrees:.4f} degrees (+/- {deg_from_rad(found.turn_error):.4f}), counter-clockwise seen from above"
    )
    lines = [title, *_lines(f"The plate lies {turn}.", width=width)]
    return [*lines, *_lines(f"Its zero is at machine X {x:.3f} Y {y:.3f}.", width=width)]


def _marks(found: Found) -> list[str]:
    longest = max(len(name) for name in found.names)
    lines = ["Marks, as measured less as placed:"]
    for name, (x, y) in zip(found.names, found.registration.residuals.tolist(), strict=True):
        lines.append(
            f"  {name:<{longest}}  X {x * UM_PER_MM:+7.1f} um  Y {y * UM_PER_MM:+7.1f} um  "
            f"together {math.hypot(x, y) * UM_PER_MM:6.1f} um"
        )
    return lines


def _sure(found: Found, *, width: int) -> list[str]:
    spread = spread_of_residuals(found.registration)
    seen = (
        f"their residuals show {micrometres(spread)} um"
        if spread is not None
        else "two marks cannot show it: their residuals say only how far apart they are"
    )
    away = math.dist(found.farthest, found.registration.centre)
    lines = _lines(
        f"Each mark is taken as measured to {micrometres(found.sigma)} um a coordinate; {seen}. At the farthest "
        f"feature, {place(found.farthest)}, {figure(away, places=1)} mm from the middle of the marks, expect an error "
        f"of {micrometres(found.error)} um an axis (one standard error; more than twice that in one case of twenty). "
        "Small residuals do not make it smaller.",
        width=width,
    )
    lines += _lines(
        f"Scale, measured over drawn: {found.scale:.6f} +/- {found.scale_error:.6f}.",
        width=width,
    )
    return lines


def _written(found: Found, *, proof: Proof | None, files: tuple[str, ...], folder: str, width: int) -> list[str]:
    x, y = found.zero
    typed = f"set the work offset (G54) to X {x:.3f} Y {y:.3f} in machine coordinates"
    offset = next((file for file in files if file.startswith("00-offset")), None)
    how = f"run {offset} first, or {typed}" if offset else f"first {typed}"
    if proof is not None and not proof.passed:
        return _lines("The turned programs failed their proof, and nothing was written.", width=width)
    if found.turned:
        programs = len(files) - (1 if offset else 0)
        said = (
            f"Written to {folder}: {counted(programs, 'turned program')}; {how}. Z is touched off as the sheet says. "
            "Clamps are taken as the job has them, turned with the plate: look before you run."
        )
        return _lines(said, width=width)
    ignored = f"the turn moves no feature by more than {figure(found.ignored * UM_PER_MM, places=2)} um"
    return _lines(f"The programs stay as they are: {ignored}. To cut, {how}.", width=width)


def _lines(text: str, *, width: int) -> list[str]:
    return textwrap.wrap(text, width=max(width, 40), subsequent_indent="  ", break_on_hyphens=False)
