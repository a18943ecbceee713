"""What is said of a plate that is turned over: in the head of its programs, and before it is cut."""

from camplan.features.records import PlateFace
from camplan.features.specs import SettingSpec
from camplan.features.turned import OVERLAP, turned_zero
from camplan.findings import Finding, Severity
from camplan.pipeline.bench import Bench


def zero_lines(setting: SettingSpec, *, bench: Bench) -> tuple[str, ...]:
    """Where the zero of a setting is, for the head of its programs."""
    plate = bench.plate
    face = face_of(setting, bench=bench)
    if face.about is None:
        return (f"zero: XY {plate.zero} of the plate, Z the plate's top; plate {plate.thickness:g} mm",)
    same = turned_zero(face.plate.zero, about=face.about)
    return (
        f"PLATE TURNED OVER about its {face.about.upper()} axis: its back is up",
        f"zero: XY {face.plate.zero} as it lies now, that was {same} seen from its top",
        f"zero: Z the back, touch off Z again; plate {plate.thickness:g} mm",
    )


def face_of(setting: SettingSpec, *, bench: Bench) -> PlateFace:
    """The face that is up in a setting."""
    return next(face for face in bench.faces if setting.name in face.settings)


def turning_findings(bench: Bench) -> list[Finding]:
    """What to look to when the plate is turned over, and what is cut half from either face."""
    back = next((setting for setting in bench.job.settings if setting.face == "back"), None)
    if back is None:
        return []
    face = face_of(back, bench=bench)
    swapped = "left and right" if face.about == "y" else "front and back"
    found = [
        Finding(
            severity=Severity.CAUTION,
            code="turned-over",
            message=f"turn the plate over about its {(face.about or 'y').upper()} axis: {swapped} change places. "
            "Touch off Z again on the face that is up, and find X and Y zero from the same two edges of the plate as "
            "before, against stops, or from dowel holes: what is off here, the two faces are off from each other",
            where=back.name,
        )
    ]
    tops = {name for setting in bench.job.settings if setting.face == "top" for name in setting.features}
    backs = {name for setting in bench.job.settings if setting.face == "back" for name in setting.features}
    shared = [spec.name for spec in bench.job.features if spec.name in tops & backs]
    if shared:
        deep = (bench.plate.thickness + OVERLAP) / 2.0
        message = (
            f"{', '.join(shared)}: cut half from either face, {deep:g} mm deep each, so that both cut the middle "
            f"{OVERLAP:g} mm of the plate"
        )
        found.append(Finding(severity=Severity.NOTE, code="cut-from-both-faces", message=message, where=back.name))
    return found
