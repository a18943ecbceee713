"""The setup sheet: one HTML file that asks for nothing from outside, for the phone at the mill and for paper."""

from html import escape

from camplan import __version__
from camplan.features.records import Feature
from camplan.features.specs import SettingSpec
from camplan.findings import Severity
from camplan.planned import Plan, PlannedOperation, PlannedProgram
from camplan.report.cautions import CAUTIONS, FIRST, SOURCES
from camplan.report.choices import choice_sentences
from camplan.report.holding import holding_section
from camplan.report.load_picture import load_graph, load_key, load_map, peaks_of
from camplan.report.measures import measures
from camplan.report.next_cut import next_cuts
from camplan.report.pictures import (
    LIMIT,
    deepest_of,
    features_of,
    left_letters,
    numbers_of,
    operation_picture,
    plate_picture,
    setting_picture,
)
from camplan.report.sheet_marks import marks_part
from camplan.report.sheet_parts import (
    Column,
    depth_key,
    facts,
    figure_of,
    findings_list,
    operation_figures,
    reasons_list,
    table,
    tone_key,
)
from camplan.report.shrinkage import shrinkage_section
from camplan.report.style import STYLE
from camplan.report.summary import over_bound_words, verdict, zero_words
from camplan.report.touching import touch_off_words, zero_words_of
from camplan.report.turning import turning_block
from camplan.report.words import (
    allowance_of,
    counted,
    cutter_words,
    cutters_used,
    depth_of,
    draft_of,
    duration,
    face_up,
    faces_of,
    features_by_name,
    figure,
    findings_of,
    kind_of,
    place,
    programs_in_order,
    source_words,
    sources_named,
)
from camplan.units import deg_from_rad

PICTURES = 2_000_000
"""Bytes that all pictures together may take."""
PATHS = "All paths of this setting, from above, as the plate lies."


def sheet(plan: Plan) -> str:
    """The whole sheet as an HTML document."""
    body = "".join(
        (
            _header(plan),
            _verdict(plan),
            _plate(plan),
            shrinkage_section(plan),
            holding_section(features_by_name(plan).values()),
            _cautions(plan),
            _cutters(plan),
            *(_setting(plan, setting, number=number) for number, setting in enumerate(plan.settings, start=1)),
            _left(plan),
            marks_part(plan),
            _findings(plan),
            _sources(plan),
            f'<footer class="small">camplan {escape(__version__)}. Lengths in mm; X to the right, Y away from you, '
            "Z zero on the plate's top; depths below the top.</footer>",
        )
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8"/>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1"/>\n'
        f"<title>{escape(plan.title)}: setup sheet</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def _header(plan: Plan) -> str:
    x0, y0, x1, y1 = plan.plate.bounds
    over = over_bound_words(plan)
    block = facts(
        (
            ("Plate", f"{figure(x1 - x0)} × {figure(y1 - y0)} × {figure(plan.plate.thickness)} mm"),
            ("Material", plan.material.title),
            ("Mill", plan.machine.title),
            ("Controller", plan.post.title),
            ("X and Y zero", zero_words(plan.plate.zero)),
            ("Z zero", "the plate's top"),
            ("Programs", f"{len(plan.programs)} in {counted(len(plan.settings), 'setting')}"),
            ("Machine time", f"about {duration(plan.seconds)}"),
            *((("Held against", over),) if over else ()),
        ),
        style="block",
    )
    return f'<header><p class="kicker">Setup sheet</p><h1>{escape(plan.title)}</h1>{block}</header>'


def _verdict(plan: Plan) -> str:
    grave = [finding for finding in findings_of(plan) if finding.severity in (Severity.UNSAFE, Severity.UNMET)]
    style = "verdict" if plan.proof.passed else "verdict failed"
    head, _, rest = verdict(plan.proof).replace(" um", " µm").replace("mm2", "mm²").partition(": ")
    head = head if plan.proof.passed else "Proof failed: do not cut"
    asked = ""
    if grave:
        asked = (
            f'<p><a href="#findings">{counted(len(grave), "finding")} to read first</a>: '
            f"{escape('; '.join(finding.message for finding in grave[:3]))}</p>"
        )
    return f'<div class="{style}"><strong>{escape(head)}</strong>{escape(rest.capitalize())}{asked}</div>'


def _plate(plan: Plan) -> str:
    numbers = numbers_of(plan)
    rows = []
    for name, feature in features_by_name(plan).items():
        draft, allowance = draft_of(feature.spec), allowance_of(feature.spec)
        inner = plan.smallest_inner_radius.get(name)
        rows.append(
            (
                f"{numbers[name]}  {name}",
                kind_of(feature.spec),
                _depth(plan, feature),
                f"{figure(deg_from_rad(draft))}°" if draft else "",
                figure(allowance, places=3) if allowance else "",
                "" if inner is None else figure(inner, places=3) if inner > 0.0 else "0 (sharp)",
            )
        )
    columns = (
        Column(heading="Feature", lead=True),
        Column(heading="Kind"),
        Column(heading="Depth"),
        Column(heading="Draft", figures=True),
        Column(heading="Left on the wall", figures=True),
        Column(heading="Smallest inner radius", figures=True),
    )
    caption = f"Zero at {zero_words(plan.plate.zero)}, X to the right, Y away from you, Z zero on the top."
    if plan.plate.existing:
        caption += " Pale and dashed: cut away before."
    start = (
        f"Before clamping, measure the plate: {figure(plan.plate.thickness, places=3)} mm thick is what the programs "
        "count on."
    )
    return (
        f"<section><h2>Plate and zero</h2>{figure_of(plate_picture(plan, limit=_limit(plan)), caption=caption)}"
        f"<p>{escape(start)}</p>{table(columns, rows)}</section>"
    )


def _depth(plan: Plan, feature: Feature) -> str:
    """How deep a feature goes, and from which face where the plate is turned over."""
    faces = faces_of(plan, feature.spec.name)
    if "back" not in faces:
        return depth_of(feature)
    return f"{depth_of(feature)}, half from either face" if len(faces) > 1 else f"{depth_of(feature)}, from the back"


def _cautions(plan: Plan) -> str:
    lines = "".join(f"<li><b>{escape(item.point)}</b> {escape(item.advice)}</li>" for item in CAUTIONS)
    own = "".join(
        f"<li><b>{escape(plan.material.title)}:</b> {escape(caution)}</li>" for caution in plan.material.cautions
    )
    return (
        f'<section><h2>Cautions</h2><p>{escape(FIRST)}</p><ul class="cautions">{own}{lines}</ul>'
        f'<p class="small">{escape(SOURCES)}</p></section>'
    )


def _cutters(plan: Plan) -> str:
    used = cutters_used(plan)
    if not used:
        return ""
    order = {program.file: number for number, program in enumerate(programs_in_order(plan), start=1)}
    rows = [
        (
            name,
            cutter_words(cutter),
            figure(cutter.stick_out),
            figure(cutter.flute_length),
            figure(cutter.reach),
            figure(cutter.shank_diameter, places=3),
            ", ".join(str(order[program.file]) for program in programs),
        )
        for name, (cutter, programs) in used.items()
    ]
    columns = (
        Column(heading="Cutter", lead=True),
        Column(heading="Shape"),
        Column(heading="Stick-out", figures=True),
        Column(heading="Flutes", figures=True),
        Column(heading="Reach", figures=True),
        Column(heading="Shank", figures=True),
        Column(heading="Programs", figures=True),
    )
    said = "Stick-out is from the tip to the collet; the proof counted on it, so set it with a rule."
    chosen = [" ".join(choice_sentences(choice)) for choice in (plan.choice, plan.back_choice) if choice is not None]
    faces = ("The top: ", "The back: ") if len(chosen) > 1 else ("",) * len(chosen)
    why = "".join(f"<p>{face}{escape(said)}</p>" for face, said in zip(faces, chosen, strict=True) if said)
    return f"<section><h2>Cutters</h2><p>{said}</p>{why}{table(columns, rows)}</section>"


def _setting(plan: Plan, setting: SettingSpec, *, number: int) -> str:
    ordered = list(enumerate(programs_in_order(plan), start=1))
    programs = [(order, program) for order, program in ordered if program.setting == setting.name]
    ident = f"plate-{number}"
    picture = setting_picture(plan, setting=setting.name, ident=ident, limit=_limit(plan))
    title = f"Setting {number}: {setting.name}" if len(plan.settings) > 1 or setting.name else "Setting"
    turned = turning_block(face_up(plan, setting.name))
    return (
        f'<section class="setting"><h2>{escape(title)}</h2>{turned}{_clamps(setting)}'
        f"{figure_of(picture, caption=PATHS, key=depth_key(deepest_of(plan)))}"
        f"{_order(plan, programs)}"
        + "".join(
            _program(plan, program, number=order, base=ident) for order, program in programs if program.operations
        )
        + _measures(plan, setting)
        + "</section>"
    )


def _clamps(setting: SettingSpec) -> str:
    if not setting.clamps:
        return "<p>No clamps are drawn: hold the plate so that nothing stands above its top where the cutter goes.</p>"
    columns = (
        Column(heading="Clamp", lead=True),
        Column(heading="X", figures=True),
        Column(heading="Y", figures=True),
        Column(heading="Height above the plate", figures=True),
    )
    rows = [
        (
            str(number),
            f"{figure(clamp.x)} to {figure(clamp.x + clamp.width)}",
            f"{figure(clamp.y)} to {figure(clamp.y + clamp.length)}",
            figure(clamp.height),
        )
        for number, clamp in enumerate(setting.clamps, start=1)
    ]
    return "<h3>Clamps</h3>" + table(columns, rows)


def _order(plan: Plan, programs: list[tuple[int, PlannedProgram]]) -> str:
    if not programs:
        return "<p>No programs in this setting.</p>"
    if not plan.proof.passed:
        return "<p><b>The proof failed: none of these programs was written. The pictures show what was planned.</b></p>"
    lines = "".join(
        f"<li><code>{escape(program.file)}</code> {escape(_fitted(program))}, about {duration(program.seconds)}"
        f"{escape(zero_words_of(program, programs=[one for _, one in programs]))}</li>"
        for _, program in programs
    )
    up = "plate's top" if face_up(plan, programs[0][1].setting).about is None else "plate's back, which is up,"
    change = (
        "The mill changes cutters itself: check that each is in its place."
        if plan.post.changes_cutters
        else f"After each change of cutter set Z zero on the {up} again, unless the mill knows the length of the "
        "cutter; leave X and Y alone."
    )
    return f'<h3>Order of programs</h3><p>{change}</p><ol class="order" start="{programs[0][0]}">{lines}</ol>'


def _fitted(program: PlannedProgram) -> str:
    if program.cutter is None:
        return "traces the work in the air, spindle at rest: watch that it clears clamps and plate"
    return f"with {program.cutter.name}, stick-out {figure(program.cutter.stick_out)}"


def _program(plan: Plan, program: PlannedProgram, *, number: int, base: str) -> str:
    operations = "".join(_operation(plan, operation, program=program, base=base) for operation in program.operations)
    cutter = f" with {cutter_words(program.cutter)}" if program.cutter is not None else ""
    return (
        f"<h3>{number}. <code>{escape(program.file)}</code></h3>"
        f'<p class="small">{escape(program.setting)}{escape(cutter)}; top speed {figure(program.rpm_max, places=0)} '
        f"1/min; about {duration(program.seconds)}.</p>{touch_off_words(program)}{operations}"
    )


def _operation(plan: Plan, operation: PlannedOperation, *, program: PlannedProgram, base: str) -> str:
    picture = operation_picture(plan, program=program, operation=operation, base=base, limit=_limit(plan))
    number = numbers_of(plan).get(operation.feature)
    title = f"{operation.purpose.value.capitalize()}: {operation.feature}"
    mark = f" ({number})" if number is not None else ""
    return (
        f'<div class="operation"><h4>{escape(title)}{mark}</h4>{figure_of(picture, caption="Paths from above.")}'
        f"{operation_figures(operation)}{_load(operation)}{reasons_list(operation.reasons)}</div>"
    )


def _load(operation: PlannedOperation) -> str:
    """How the cutter is loaded along the path, folded away until asked for."""
    load = operation.load
    peaks = peaks_of(load) if load is not None else None
    if load is None or peaks is None:
        return ""
    said = f"Load along the path: at most {figure(peaks.engagement_deg, places=0)}° engaged"
    if peaks.power is not None and peaks.bending_um is not None:
        said += f", {figure(peaks.power, places=0)} W, {figure(peaks.bending_um, places=0)} µm bent"
    caption = "How much of the leading half of the edge is in the material."
    return (
        f"<details><summary>{escape(said)}</summary>"
        f"{figure_of(load_map(load), caption=caption, key=tone_key(load_key()))}"
        f"{figure_of(load_graph(load), caption='The highest of each stretch, ways down included.')}</details>"
    )


def _measures(plan: Plan, setting: SettingSpec) -> str:
    """The readings to take once a setting is done: of each feature after the last setting that cuts it."""
    position = plan.settings.index(setting)
    face = face_up(plan, setting.name)
    later = {name for spec in plan.settings[position + 1 :] for name in spec.features}
    done = [item for item in features_of(plan, setting.name) if item.spec.name not in later]
    rows = [
        (item.feature, item.what, item.expected, item.remark, "")
        for feature in done
        for item in measures(feature, plate=face.plate)
    ]
    columns = (
        Column(heading="Feature", lead=True),
        Column(heading="Measure"),
        Column(heading="Expect", figures=True),
        Column(heading="Remark"),
        Column(heading="Found", fill=True),
    )
    found = f"<h3>Measure afterwards</h3>{table(columns, rows, long=True)}" if rows else ""
    return found + next_cuts(plan, done)


def _left(plan: Plan) -> str:
    if not plan.proof.leftovers:
        return "<section><h2>What is left</h2><p>Nothing that was asked for is left standing.</p></section>"
    letters = left_letters(plan)
    rows = [
        (
            letter,
            f"{left.feature}, from the back" if left.face == "back" else left.feature,
            f"{figure(left.depth, places=3)} deep",
            place(left.at),
            f"{figure(left.area, places=3)} mm²",
            figure(left.deepest, places=3),
            left.cause,
        )
        for letter, left in letters.items()
    ]
    columns = (
        Column(heading="Mark", lead=True),
        Column(heading="Feature"),
        Column(heading="Depth"),
        Column(heading="Place"),
        Column(heading="Area", figures=True),
        Column(heading="Thickest", figures=True),
        Column(heading="Why"),
    )
    more = len(plan.proof.leftovers) - len(rows)
    said = f"<p>And {counted(more, 'smaller place')}; all of them stand in plan.json.</p>" if more else ""
    return f"<section><h2>What is left</h2>{table(columns, rows, long=True)}{said}</section>"


def _findings(plan: Plan) -> str:
    found = findings_of(plan)
    body = findings_list(found) if found else "<p>Nothing was noticed.</p>"
    return f'<section id="findings"><h2>Findings</h2>{body}</section>'


def _sources(plan: Plan) -> str:
    reasons = [reason for program in plan.programs for work in program.operations for reason in work.reasons]
    named = sources_named(reasons, sources=plan.sources)
    if not named:
        return ""
    lines = "".join(f"<li><b>{escape(source.code)}</b> {escape(source_words(source))}</li>" for source in named)
    return f'<section><h2>Sources of the figures</h2><ul class="cautions small">{lines}</ul></section>'


def _limit(plan: Plan) -> int:
    """What each picture may take so that all of them stay within their share."""
    count = 1 + len(plan.settings) + sum(len(program.operations) for program in plan.programs)
    return min(LIMIT, PICTURES // count)
