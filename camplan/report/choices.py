"""Why these cutters: what the plate was expected to take with them, and what others would cost."""

from typing import Any

from camplan.operations.alternatives import Choice, FeatureWay, Set, listed, minutes
from camplan.report.words import counted

_PLACES = 1


def choice_json(choice: Choice) -> dict[str, Any]:
    """What was chosen from, as it stands in ``plan.json``; times in seconds, as expected before any path was known."""
    return {
        **_set(choice.taken),
        "change_seconds": round(choice.change, _PLACES),
        "least_by_seconds": round(choice.slack, _PLACES),
        "candidates": list(choice.candidates),
        "dominated": [{"cutter": one.cutter, "by": one.by} for one in choice.dominated],
        "left_out": list(choice.left_out),
        "alternatives": [
            {"instead_of": "one flat cutter alone", **(_set(choice.single) if choice.single is not None else _NONE)},
            *(
                {"instead_of": name, **(_set(other) if other is not None else _NONE)}
                for name, other in choice.without.items()
            ),
        ],
        "features": [
            {
                "feature": one.feature,
                **_way(one.taken),
                "others": [_way(other) for other in one.others],
            }
            for one in choice.features
        ],
    }


_NONE: dict[str, Any] = {"cutters": [], "seconds": None, "cutting_seconds": None, "programs": None}


def _set(one: Set) -> dict[str, Any]:
    return {
        "cutters": list(one.cutters),
        "seconds": round(one.total, _PLACES),
        "cutting_seconds": round(one.cutting, _PLACES),
        "programs": one.programs,
    }


def _way(one: FeatureWay) -> dict[str, Any]:
    return {"cutters": list(one.cutters), "seconds": round(one.seconds, _PLACES)}


def choice_sentences(choice: Choice) -> tuple[str, ...]:
    """The choice in a few sentences: the cutters, the best single one, what each spares, and how sure that is."""
    taken = choice.taken
    if not taken.cutters:
        return ()
    names = listed(taken.cutters)
    total = f"{minutes(taken.total)} expected, {counted(taken.programs, 'cutter change')} of "
    found = [f"Flat cutters chosen for the least time: {names} ({total}{minutes(choice.change)} included)."]
    if len(taken.cutters) > 1 or len(choice.candidates) > 1:
        found.extend(_instead(choice))
    if choice.left_out:
        found.append(
            f"Not tried, because there are too many to try every set: {', '.join(choice.left_out)}; at most "
            f"{minutes(choice.slack)} could be spared with them."
        )
    elif choice.slack > 0.0:
        found.append(f"Not every order was tried; at most {minutes(choice.slack)} could be spared.")
    return tuple(found)


def _instead(choice: Choice) -> list[str]:
    single = choice.single
    said = []
    if single is None:
        said.append("No single flat cutter does it all.")
    elif single.cutters != choice.taken.cutters:
        said.append(f"{single.cutters[0]} alone would take {minutes(single.total)}.")
    for name, other in choice.without.items():
        if other is None:
            said.append(f"Nothing listed replaces {name}.")
        elif single is None or other.cutters != single.cutters:
            said.append(f"Without {name}: {listed(other.cutters)}, {minutes(other.total)}.")
    return said
