"""Modal groups, and what each dialect knows of them (NISTIR 6556, table 4)."""

from camplan.rs274.expressions import BrokenError

GROUPS: dict[str, frozenset[float]] = {
    "motion": frozenset({0, 1, 2, 3, 38.2, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89}),
    "plane": frozenset({17, 18, 19}),
    "distance": frozenset({90, 91}),
    "feed mode": frozenset({93, 94}),
    "units": frozenset({20, 21}),
    "radius compensation": frozenset({40, 41, 42}),
    "length offset": frozenset({43, 49}),
    "cycle return": frozenset({98, 99}),
    "work system": frozenset({54, 55, 56, 57, 58, 59, 59.1, 59.2, 59.3}),
    "path control": frozenset({61, 61.1, 64}),
    "non-modal": frozenset({4, 10, 28, 30, 53, 92, 92.1, 92.2, 92.3}),
}
_GROUP_OF = {code: group for group, codes in GROUPS.items() for code in codes}
M_GROUPS: dict[str, frozenset[int]] = {
    "stop": frozenset({0, 1, 2, 30, 60}),
    "tool change": frozenset({6}),
    "spindle": frozenset({3, 4, 5}),
    "coolant": frozenset({7, 8, 9}),
    "overrides": frozenset({48, 49}),
}
_M_GROUP_OF = {code: group for group, codes in M_GROUPS.items() for code in codes}

GRBL_G = frozenset(
    {0, 1, 2, 3, 4, 10, 17, 18, 19, 20, 21, 28, 28.1, 30, 30.1, 38.2, 38.3, 38.4, 38.5, 40, 43.1, 49, 53}
    | {54, 55, 56, 57, 58, 59, 61, 80, 90, 91, 91.1, 92, 92.1, 93, 94}
)
GRBL_M = frozenset({0, 1, 2, 3, 4, 5, 8, 9, 30})
GRBL_LETTERS = frozenset("FGIJKLMNPRSTXYZ")


def sorted_codes(words: tuple[tuple[str, float], ...], *, grbl: bool) -> tuple[dict[str, float], list[int]]:
    """The G codes of a block by group, and its M codes; `BrokenError` for unknown codes and two of one group."""
    codes: dict[str, float] = {}
    ms: list[int] = []
    for letter, value in words:
        if letter == "G":
            code = round(value, 3)
            group = _GROUP_OF.get(code)
            if grbl and code not in GRBL_G:
                raise BrokenError(f"G{code:g} is refused by this controller (Grbl error 20)", code="unknown-code")
            if group is None:
                if grbl and code in GRBL_G:
                    continue
                raise BrokenError(f"G{code:g} is not a code of RS-274/NGC (NISTIR 6556 table 4)", code="unknown-code")
            if group in codes:
                raise BrokenError(
                    f"G{codes[group]:g} and G{code:g} are both of the group {group} (NISTIR 6556 §3.3.5)",
                    code="modal-conflict",
                )
            codes[group] = code
        elif letter == "M":
            m = round(value)
            if m not in _M_GROUP_OF or (grbl and m not in GRBL_M):
                raise BrokenError(f"M{value:g} is not a code that this controller knows", code="unknown-code")
            same = [other for other in ms if _M_GROUP_OF[other] == _M_GROUP_OF[m]]
            if same and {m, *same} != {7, 8}:
                raise BrokenError(f"M{same[0]} and M{m} are of one group (NISTIR 6556 §3.3.5)", code="modal-conflict")
            ms.append(m)
            if len(ms) > 4:
                raise BrokenError(
                    "more than four M words stand on one line (NISTIR 6556 §3.3.5)", code="modal-conflict"
                )
    return codes, ms
