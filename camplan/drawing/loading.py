"""Opening a DXF file: healthy as it is, damaged through a repair whose every step is told."""

import io
import logging
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf import recover
from ezdxf.audit import Auditor
from ezdxf.document import Drawing as Document
from ezdxf.entities.insert import Insert
from ezdxf.lldxf.validator import is_binary_dxf_file

from camplan.drawing.records import LengthUnit as LengthUnit
from camplan.errors import InputError, Problem
from camplan.findings import Finding, Severity
from camplan.geometry.places import place
from camplan.units import MM_PER_INCH, Mm

# what the library has to say comes back as findings; without a handler of its own it would print it
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

_ACCEPTED = "a DXF drawing, R12 to 2018, text or binary"
_SAMPLE = 4096

# $INSUNITS, DXF reference "HEADER section": code -> (name, mm)
_HEADER_UNITS: dict[int, tuple[str, Mm]] = {
    1: ("inch", MM_PER_INCH),
    2: ("foot", 12.0 * MM_PER_INCH),
    3: ("mile", 63360.0 * MM_PER_INCH),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    7: ("km", 1e6),
    8: ("microinch", 1e-6 * MM_PER_INCH),
    9: ("thousandth of an inch", 1e-3 * MM_PER_INCH),
    10: ("yard", 36.0 * MM_PER_INCH),
    11: ("angstrom", 1e-7),
    12: ("nanometre", 1e-6),
    13: ("micron", 1e-3),
    14: ("dm", 100.0),
    15: ("decametre", 1e4),
    16: ("hectometre", 1e5),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loaded:
    """A document and every repair that reading it took."""

    document: Document
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """``factor`` turns drawn lengths into mm; a ``problem`` if the unit is not known."""

    factor: Mm
    findings: tuple[Finding, ...] = ()
    problem: Problem | None = None


def loaded(path: Path) -> Loaded:
    """The document in a file.  InputError if it is missing, empty, or no DXF even after repair."""
    _look_inside(path)
    try:
        document = ezdxf.readfile(path)  # type: ignore[attr-defined]
        lacking = _lacking_blocks(document)
        auditor = document.audit()
        repaired = False
    except Exception:  # a damaged file can make the parser fail in any way: the repair gets its turn
        document, auditor = _recovered(path)
        lacking = ()
        repaired = True
    findings = (*lacking, *_repairs(auditor, file=path.name))
    if repaired:
        said = "the file is damaged and was repaired; compare what was read with the drawing"
        findings = (
            Finding(severity=Severity.CAUTION, code="drawing-repaired", message=said, where=path.name),
            *findings,
        )
    return Loaded(document=document, findings=(*findings, *_cut_short(path)))


def scale(document: Document, *, unit: LengthUnit | None, file: str) -> Scale:
    """The drawing's unit: the job's if given, else the header's $INSUNITS; never guessed."""
    code = document.header.get("$INSUNITS", 0)
    header = _HEADER_UNITS.get(code) if isinstance(code, int) else None
    if unit is not None:
        factor = MM_PER_INCH if unit == "inch" else 1.0
        if header is None or header[1] == factor:
            return Scale(factor=factor)
        said = f"the job says that the drawing is in {unit}, its header says {header[0]}; the job's {unit} is used"
        return Scale(factor=factor, findings=(_caution("drawing-unit-overruled", said, where=file),))
    if header is not None:
        return Scale(factor=header[1])
    measurement = document.header.get("$MEASUREMENT", None)
    hint = {0: " ($MEASUREMENT hints at inches)", 1: " ($MEASUREMENT hints at mm)"}.get(measurement, "")
    given = (
        f"holds the unit code {code!r}, which is no length that can be drawn in" if code else "does not say its unit"
    )
    message = f"the drawing's header {given} ($INSUNITS){hint}"
    accepted = (
        'drawing_units = "mm" or drawing_units = "inch" in the job file (with `camplan start`: --unit mm or inch); '
        "or a drawing saved with its unit"
    )
    return Scale(factor=1.0, problem=Problem(message=message, file=file, accepted=accepted))


def _look_inside(path: Path) -> None:
    try:
        with path.open("rb") as stream:
            head = stream.read(_SAMPLE)
    except FileNotFoundError:
        raise InputError(Problem(message="there is no such drawing", file=str(path), accepted=_ACCEPTED)) from None
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise InputError(Problem(message=message, file=str(path), accepted=_ACCEPTED)) from None
    if not head.strip():
        raise InputError(Problem(message="the drawing is empty", file=str(path), accepted=_ACCEPTED))
    if head.startswith(b"AC10"):
        message = "is a drawing database, not a DXF; save the drawing as DXF"
        raise InputError(Problem(message=message, file=str(path), accepted=_ACCEPTED))
    if b"SECTION" not in head and not is_binary_dxf_file(str(path)):
        raise InputError(Problem(message="is not a DXF drawing", file=str(path), accepted=_ACCEPTED))


def _lacking_blocks(document: Document) -> tuple[Finding, ...]:
    """INSERTs of blocks that the file does not hold, by layer and place; the audit removes them without a name."""
    found = []
    for holder in (document.modelspace(), *document.blocks):
        for entity in holder:
            if isinstance(entity, Insert) and entity.block() is None:
                x, y, _ = entity.dxf.insert
                name, layer = entity.dxf.get("name", ""), entity.dxf.get("layer", "0")
                message = f'layer "{layer}": the block "{name}" inserted at {place((x, y))} is not in the drawing'
                found.append(_caution("block-lacking", message, where=str(layer)))
    return tuple(found)


def _recovered(path: Path) -> tuple[Document, Auditor]:
    try:
        return recover.read(io.BytesIO(_ended(path.read_bytes())))
    except Exception as error:  # whatever the repair stumbles on, the file is beyond it
        said = str(error).splitlines()[0] if str(error) else type(error).__name__
        message = f"the drawing is damaged beyond repair ({said})"
        raise InputError(Problem(message=message, file=str(path), accepted=_ACCEPTED)) from None


def _ended(content: bytes) -> bytes:
    """A text file that was cut short, ended behind its last whole entity: the repair would drop the open section."""
    if b"EOF" in content[-_SAMPLE:] or b"\0" in content[:_SAMPLE]:
        return content
    lines = content.splitlines()
    # codes and values alternate from the first line on; code 0 begins an entity
    starts = [place for place in range(0, len(lines) - 1, 2) if lines[place].strip() == b"0"]
    whole = lines[: starts[-1]] if starts else lines
    return b"\n".join([*whole, b"  0", b"ENDSEC", b"  0", b"EOF", b""])


def _repairs(auditor: Auditor, *, file: str) -> tuple[Finding, ...]:
    fixed = [_caution("drawing-repair", f"repaired: {entry.message}", where=file) for entry in auditor.fixes]
    broken = [_caution("drawing-error", f"not repaired: {entry.message}", where=file) for entry in auditor.errors]
    return (*fixed, *broken)


def _cut_short(path: Path) -> tuple[Finding, ...]:
    """A DXF file ends in EOF; one that does not may have lost its last entities."""
    with path.open("rb") as stream:
        size = stream.seek(0, 2)
        stream.seek(max(size - _SAMPLE, 0))
        tail = stream.read()
    if b"EOF" in tail:
        return ()
    said = "the file stops before its end mark; what stood behind that place is lost"
    return (_caution("drawing-cut-short", said, where=path.name),)


def _caution(code: str, message: str, *, where: str) -> Finding:
    return Finding(severity=Severity.CAUTION, code=code, message=message, where=where)
