"""What to type once a feature that was left too small on purpose is measured."""

from collections.abc import Sequence
from html import escape
from pathlib import PurePath

from camplan.features.records import Feature
from camplan.features.specs import OutlineSpec
from camplan.planned import Plan
from camplan.recut.figures import across, is_round
from camplan.report.words import allowance_of, draft_of, faces_of, figure

_SAME = 1e-3


def next_cuts(plan: Plan, features: Sequence[Feature]) -> str:
    """A line for each feature with an allowance, as HTML; nothing where there is none."""
    lines = []
    for feature in features:
        command = recut_command(plan, feature)
        if command is not None:
            lines.append(
                f"<li>{escape(feature.spec.name)}: {figure(allowance_of(feature.spec), places=3)} a side were left on "
                f"purpose. Measure it, then type <code>{escape(command)}</code></li>"
            )
    if not lines:
        return ""
    about = "the figure that was found in place of the dots; <code>--wanted</code> where it is not to be as drawn"
    return f'<h3>Cut to size</h3><ul>{"".join(lines)}</ul><p class="small">With {about}.</p>'


def recut_command(plan: Plan, feature: Feature) -> str | None:
    """The command that skims a feature to size, its readings left open; None where nothing was left on purpose, or
    where a skim is not planned."""
    spec = feature.spec
    free = isinstance(spec, OutlineSpec) and spec.hold == "none" and feature.through
    if allowance_of(spec) <= 0.0 or feature.incline is not None or free:
        return None
    if len(faces_of(plan, spec.name)) != 1 or plan.made_from is None:
        return None
    words = ["camplan", "recut", _word(f"{PurePath(plan.made_from.job).stem}-out"), _word(spec.name)]
    sizes = [[across(region, along=along, at=None) or 0.0 for region in feature.regions] for along in (0, 1)]
    if any(max(each) - min(each) > _SAME for each in sizes):
        words += ["--region", "1"]
    deep = ["--at-depth", figure(feature.top, places=3)] if draft_of(spec) > 0.0 else []
    if all(is_round(region) for region in feature.regions):
        return " ".join([*words, "--diameter", *deep, "--measured", "..."])
    for axis in ("x", "y"):
        words += ["--across", axis, *deep, "--measured", "..."]
    return " ".join(words)


def _word(text: str) -> str:
    return f'"{text}"' if " " in text else text
