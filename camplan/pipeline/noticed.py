"""What is noticed of the cuts of one face before they are made: pieces that come loose, floors and walls that give."""

from camplan.findings import Finding
from camplan.pipeline.bench import Bench
from camplan.pipeline.faces import PickedFace
from camplan.pipeline.floors import floor_findings
from camplan.pipeline.loose import loose_findings
from camplan.pipeline.thin import thin_findings


def noticed(picked: PickedFace, *, bench: Bench) -> list[Finding]:
    """Findings of a face that its clamps, its plate and its material decide."""
    plate, features = picked.face.plate, picked.face.features
    others = [face for face in bench.faces if face.about != picked.face.about]
    return [
        *loose_findings(features, plate=plate, here=picked.settings, settings=bench.job.settings),
        *floor_findings(picked.operations, face=picked.face, others=others, material=bench.material),
        *thin_findings(picked.face, operations=picked.operations, material=bench.material),
    ]
