"""All plates of a project laid over each other and held against each other."""

import difflib
from collections.abc import Mapping, Sequence

from camplan.errors import InputError, Problem
from camplan.features.records import Feature, Plate
from camplan.features.specs import HoleSpec, PocketSpec
from camplan.job.project import Named, Project
from camplan.pairing.laying import lie_of
from camplan.pairing.matings import has_core, mating_found
from camplan.pairing.patterns import pattern_found
from camplan.pairing.records import Pairing, Placed


def paired(project: Project, *, plates: Mapping[str, Plate], features: Mapping[str, tuple[Feature, ...]]) -> Pairing:
    """The plates and features, by plate name and in own coordinates, of every job of a project.

    InputError with every name that is none, and every feature that is of the wrong kind for what it is named in.
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
    if problems := _problems(project, placed=placed):
        raise InputError(tuple(problems))
    return Pairing(
        project=project,
        plates=placed,
        patterns=tuple(pattern_found(spec, plates=placed, common=project.common) for spec in project.patterns),
        matings=tuple(mating_found(spec, plates=placed) for spec in project.matings),
    )


def _problems(project: Project, *, placed: Sequence[Placed]) -> list[Problem]:
    found: list[Problem] = []
    for number, pattern in enumerate(project.patterns, start=1):
        key = f"pattern[{number}].features"
        for name in pattern.features:
            feature = _found(name, placed=placed, key=key, file=str(project.file), problems=found)
            if feature is not None and not isinstance(feature.spec, HoleSpec):
                message = f'"{name}" is no feature of holes'
                holes = ", ".join(_names(name.plate, placed=placed, kinds=(HoleSpec,))) or "none in this plate"
                found.append(Problem(message=message, file=str(project.file), key=key, accepted=holes))
    for number, mating in enumerate(project.matings, start=1):
        key = f"mating[{number}]"
        core = _found(mating.core, placed=placed, key=f"{key}.core", file=str(project.file), problems=found)
        if core is not None and not has_core(core):
            message = f'"{mating.core}" leaves nothing standing that could be a core'
            accepted = "a pocket with an island, or an outline cut from outside"
            found.append(Problem(message=message, file=str(project.file), key=f"{key}.core", accepted=accepted))
        cavity = _found(mating.cavity, placed=placed, key=f"{key}.cavity", file=str(project.file), problems=found)
        if cavity is not None and not isinstance(cavity.spec, PocketSpec):
            message = f'"{mating.cavity}" is no pocket'
            pockets = ", ".join(_names(mating.cavity.plate, placed=placed, kinds=(PocketSpec,))) or "a pocket"
            found.append(Problem(message=message, file=str(project.file), key=f"{key}.cavity", accepted=pockets))
    return found


def _found(name: Named, *, placed: Sequence[Placed], key: str, file: str, problems: list[Problem]) -> Feature | None:
    home = next(plate for plate in placed if plate.spec.name == name.plate)
    for feature in home.features:
        if feature.spec.name == name.feature:
            return feature
    there = [feature.spec.name for feature in home.features]
    near = difflib.get_close_matches(name.feature, there, n=1)
    asked = f"; did you mean {near[0]!r}?" if near else ""
    message = f'{home.spec.job.name} has no feature "{name.feature}"{asked}'
    problems.append(Problem(message=message, file=file, key=key, accepted=", ".join(there)))
    return None


def _names(plate: str, *, placed: Sequence[Placed], kinds: tuple[type, ...]) -> list[str]:
    home = next(one for one in placed if one.spec.name == plate)
    return [feature.spec.name for feature in home.features if isinstance(feature.spec, kinds)]
