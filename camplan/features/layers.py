"""What a drawing's layers hold for features: regions, lines, circles and points, or what is wrong with them."""

import difflib
from dataclasses import dataclass

from camplan.drawing.ends import open_ends
from camplan.drawing.records import Drawing, Layer
from camplan.errors import Problem
from camplan.findings import Finding
from camplan.regions import Region, regions_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wanted:
    """A layer that a key of the job asks for; what is noticed goes into the two lists."""

    drawing: Drawing
    name: str
    key: str
    problems: list[Problem]
    findings: list[Finding]

    def refuse(self, message: str, *, accepted: str = "") -> None:
        """Record a problem with the layer."""
        self.problems.append(Problem(message=message, file=self.drawing.file, key=self.key, accepted=accepted))


def found(wanted: Wanted) -> Layer | None:
    """The layer of that name, upper and lower case alike if that is plain; None, with the problem, if there is none."""
    layers = wanted.drawing.layers
    alike = [name for name in layers if name.casefold() == wanted.name.casefold()]
    name = wanted.name if wanted.name in layers else alike[0] if len(alike) == 1 else None
    if name is None:
        folded = {name.casefold(): name for name in layers}
        near = difflib.get_close_matches(wanted.name.casefold(), list(folded), n=1)
        asked = f'; did you mean "{folded[near[0]]}"?' if near else ""
        message = f'the drawing has no layer "{wanted.name}"{asked}'
        wanted.refuse(message, accepted=", ".join(sorted(layers)) or "a drawing with layers that hold something")
        return None
    wanted.findings.extend(finding for finding in layers[name].findings if finding not in wanted.findings)
    return layers[name]


def regions(layer: Layer, *, wanted: Wanted, of: str) -> tuple[Region, ...]:
    """The closed regions of a layer, none if the problems say why; ``of`` says what they are for."""
    if not layer.closed:
        gaps = "; ".join(finding.message for finding in open_ends(layer))
        holds = f": {gaps}" if gaps else f"; it holds {_contents(layer)}"
        wanted.refuse(
            f'layer "{layer.name}" has no closed contour for the {of}{holds}', accepted="at least one closed contour"
        )
        return ()
    wanted.findings.extend(finding for finding in open_ends(layer) if finding not in wanted.findings)
    result = regions_of(layer.closed, layer=layer.name)
    for problem in result.problems:
        wanted.refuse(problem.message, accepted=problem.accepted)
    if not result.regions and not result.problems:
        flat = "; ".join(finding.message for finding in result.findings if finding.code == "no-area")
        wanted.refuse(
            f'layer "{layer.name}" has no contour with an area for the {of}: {flat}',
            accepted="at least one closed contour that encloses an area",
        )
    wanted.findings.extend(finding for finding in result.findings if finding not in wanted.findings)
    return result.regions


def only_text(layer: Layer) -> str:
    """What is to be said where a layer that lacks something holds text; nothing if it holds none."""
    if not layer.texts:
        return ""
    holds = "one text" if layer.texts == 1 else f"{layer.texts} texts"
    return f"; it holds {holds}, and text is not turned into lines: explode it to lines in the drawing first"


def _contents(layer: Layer) -> str:
    parts = [
        f"{len(layer.points)} points" if len(layer.points) else "",
        f"{len(layer.open)} lines" if layer.open else "",
    ]
    lines = " and ".join(part for part in parts if part)
    return lines + only_text(layer) if lines else only_text(layer).removeprefix("; it holds ") or "nothing"
