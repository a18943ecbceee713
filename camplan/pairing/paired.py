"""All plates of a project laid over each other and held against each other."""

import difflib
from collections.abc import Mapping

from camplan.errors import Problem
from camplan.features.records import Feature, Plate
from camplan.features.specs import HoleSpec, PocketSpec
from camplan.job.project import Named, Project
from camplan.pairing.laying import lie_of
from camplan.pairing.matings import has_core, mating_found
from camplan.pairing.patterns import pattern_found
from camplan.pairing.records import Pairing, Placed


def paired(project: Project, *, plates: Mapping[str, Plate], features: Mapping[str, tuple[Feature, ...]]) -> Pairing:
    """The plates and features, by plate name and in own coordinates, of every job of a project.

    The names must be those of features of the right kinds (`name_problems`).
    """
    placed = tuple(
        Placed(
            spec=spec,
            plate=plates[spec.name],
            features=features[spec.name],
            lie=lie_of(plates[spec.name], spec=spec, common=project.common),
        )
        for spec in project.plates
    )
    return Pairing(
        project=project,
        plates=placed,
        patterns=tuple(pattern_found(spec, plates=placed, common=project.common) for spec in project.patterns),
        matings=tuple(mating_found(spec, plates=placed) for spec in project.matings),
    )


def name_problems(project: Project, *, features: Mapping[str, tuple[Feature, ...]]) -> list[Problem]:
    """Every name of a pattern or a mating that is none, and every feature that is of the wrong kind for what it is
    named in; of the plates of whose jobs the ``features`` are known."""
    found: list[Problem] = []
    for number, pattern in enumerate(project.patterns, start=1):
        key = f"pattern[{number}].features"
        for name in pattern.features:
            feature = _found(name, features=features, key=key, file=str(project.file), problems=found)
            if feature is not None and not isinstance(feature.spec, HoleSpec):
                message = f'"{name}" is no feature of holes'
                holes = ", ".join(_names(name.plate, features=features, kinds=(HoleSpec,))) or "none in this plate"
                found.append(Problem(message=message, file=str(project.file), key=key, accepted=holes))
    for number, mating in enumerate(project.matings, start=1):
        key = f"mating[{number}]"
        core = _found(mating.core, features=features, key=f"{key}.core", file=str(project.file), problems=found)
        if core is not None and not has_core(core):
            message = f'"{mating.core}" leaves nothing standing that could be a core'
            accepted = "a pocket with an island, or an outline cut from outside"
            found.append(Problem(message=message, file=str(project.file), key=f"{key}.core", accepted=accepted))
        cavity = _found(mating.cavity, features=features, key=f"{key}.cavity", file=str(project.file), problems=found)
        if cavity is not None and not isinstance(cavity.spec, PocketSpec):
            message = f'"{mating.cavity}" is no pocket'
            pockets = ", ".join(_names(mating.cavity.plate, features=features, kinds=(PocketSpec,))) or "a pocket"
            found.append(Problem(message=message, file=str(project.file), key=f"{key}.cavity", accepted=pockets))
    return found


def _found(
    name: Named, *, features: Mapping[str, tuple[Feature, ...]], key: str, file: str, problems: list[Problem]
) -> Feature | None:
    """The feature of that name; None, with the problem if the plate's features are known, if there is none."""
    if name.plate not in features:
        return None
    for feature in features[name.plate]:
        if feature.spec.name == name.feature:
            return feature
    there = [feature.spec.name for feature in features[name.plate]]
    near = difflib.get_close_matches(name.feature, there, n=1)
    asked = f"; did you mean {near[0]!r}?" if near else ""
    message = f'"{name}": the job of that plate has no feature of that name{asked}'
    problems.append(Problem(message=message, file=file, key=key, accepted=", ".join(there)))
    return None


def _names(plate: str, *, features: Mapping[str, tuple[Feature, ...]], kinds: tuple[type, ...]) -> list[str]:
    return [feature.spec.name for feature in features[plate] if isinstance(feature.spec, kinds)]
