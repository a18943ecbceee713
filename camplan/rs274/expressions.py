"""Parameters and expressions (NISTIR 6556 §3.3.2): angles in degrees, equal ranks from left to right."""

import math
import re
from collections.abc import Callable, Mapping

NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)"
"""A number (§3.3.2.1): no exponent, at least one digit."""
_NUMBER = re.compile(NUMBER)
_OPERATORS = ("**", "*", "/", "MOD", "+", "-", "OR", "XOR", "AND")
_RANK = {"**": 3, "*": 2, "/": 2, "MOD": 2, "+": 1, "-": 1, "OR": 1, "XOR": 1, "AND": 1}
_FUNCTIONS: dict[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda value: math.degrees(math.acos(value)),
    "ASIN": lambda value: math.degrees(math.asin(value)),
    "COS": lambda value: math.cos(math.radians(value)),
    "EXP": math.exp,
    "FIX": math.floor,
    "FUP": math.ceil,
    "LN": math.log,
    "ROUND": lambda value: math.copysign(math.floor(abs(value) + 0.5), value),  # halves away from zero
    "SIN": lambda value: math.sin(math.radians(value)),
    "SQRT": math.sqrt,
    "TAN": lambda value: math.tan(math.radians(value)),
}
LAST_PARAMETER = 5399
NEAR_WHOLE = 1e-4
"""How far a number may be from a whole one where a whole one is wanted (§3.3.2.1)."""
_DEEPEST = 50


class BrokenError(Exception):
    """A line that cannot be read or run; ``code`` is that of the finding it becomes."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.code = code


class Scanner:
    """Reads one line without blanks and comments, in upper case, from left to right."""

    def __init__(self, text: str, *, parameters: Mapping[int, float]) -> None:
        self._text = text
        self._at = 0
        self._depth = 0
        self._parameters = parameters

    def block(self) -> tuple[tuple[tuple[str, float], ...], tuple[tuple[int, float], ...]]:
        """All words and all parameter settings of the line; BrokenError if it is none."""
        words: list[tuple[str, float]] = []
        settings: list[tuple[int, float]] = []
        while self._at < len(self._text):
            letter = self._text[self._at]
            self._at += 1
            if letter == "#":
                index = self._index()
                self._expect("=")
                settings.append((index, self.value()))
            elif "A" <= letter <= "Z":
                words.append((letter, self.value()))
            else:
                raise BrokenError(f"{self._text[self._at - 1 :][:20]!r} is not a word", code="unknown-word")
        return tuple(words), tuple(settings)

    def value(self) -> float:
        """A number, a parameter, an expression in brackets or a function of one."""
        self._depth += 1
        if self._depth > _DEEPEST:
            raise BrokenError("brackets are nested too deeply", code="bad-expression")
        result = _finite(self._value)
        self._depth -= 1
        return result

    def _value(self) -> float:
        here = self._text[self._at : self._at + 1]
        if here == "[":
            return self._bracket()
        if here == "#":
            self._at += 1
            return self._parameter(self._index())
        if match := _NUMBER.match(self._text, self._at):
            self._at = match.end()
            return float(match.group())
        for name, function in _FUNCTIONS.items():
            if self._text.startswith(name + "[", self._at):
                self._at += len(name)
                return float(function(self._bracket()))
        if self._text.startswith("ATAN[", self._at):
            self._at += 4
            above = self._bracket()
            self._expect("/")
            return math.degrees(math.atan2(above, self._bracket()))
        raise BrokenError(f"a number is wanted before {self._rest()}", code="bad-number")

    def _parameter(self, index: int) -> float:
        if index not in self._parameters:
            said = f"#{index} is read, but nothing in the program sets it: what the machine holds there is not known"
            raise BrokenError(said, code="parameter-unset")
        return self._parameters[index]

    def _index(self) -> int:
        value = self.value()
        if abs(value - round(value)) > NEAR_WHOLE or not 1 <= round(value) <= LAST_PARAMETER:
            raise BrokenError(f"there is no parameter {value:g} (1 to {LAST_PARAMETER})", code="bad-parameter")
        return round(value)

    def _expect(self, sign: str) -> None:
        if not self._text.startswith(sign, self._at):
            raise BrokenError(f"{sign!r} is wanted before {self._rest()}", code="bad-expression")
        self._at += len(sign)

    def _rest(self) -> str:
        return repr(self._text[self._at :][:20]) if self._at < len(self._text) else "the end of the line"

    def _bracket(self) -> float:
        """An expression in brackets: higher ranks first, equal ones from left to right."""
        self._expect("[")
        values = [self.value()]
        signs: list[str] = []
        while not self._text.startswith("]", self._at):
            sign = next((one for one in _OPERATORS if self._text.startswith(one, self._at)), None)
            if sign is None:
                raise BrokenError(f"an operation or ']' is wanted before {self._rest()}", code="bad-expression")
            self._at += len(sign)
            right = self.value()
            while signs and _RANK[signs[-1]] >= _RANK[sign]:
                _apply(signs.pop(), values=values)
            signs.append(sign)
            values.append(right)
        self._at += 1
        while signs:
            _apply(signs.pop(), values=values)
        return values[0]


def _finite(worked_out: Callable[[], float]) -> float:
    try:
        result = worked_out()
    except (ValueError, OverflowError, ZeroDivisionError):
        result = math.nan
    if not math.isfinite(result):
        raise BrokenError("a value has no result", code="bad-expression")
    return result


def _apply(sign: str, *, values: list[float]) -> None:
    """Replace the last two values by what the operation makes of them."""
    right, left = values.pop(), values.pop()
    values.append(_finite(lambda: _applied(sign, right=right, left=left)))


def _applied(sign: str, *, right: float, left: float) -> float:
    match sign:
        case "**":
            return math.pow(left, right)
        case "*":
            return left * right
        case "/":
            return left / right
        case "MOD":
            rest = math.fmod(left, right)
            return rest + abs(right) if rest < 0.0 else rest
        case "+":
            return left + right
        case "-":
            return left - right
        case "OR":
            return float(bool(left) or bool(right))
        case "XOR":
            return float(bool(left) != bool(right))
        case _:
            return float(bool(left) and bool(right))
