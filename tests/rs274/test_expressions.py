"""Expressions and parameters: the printed examples of NISTIR 6556 §3.3.2.3 and appendix C.2."""

import pytest

from camplan.rs274.expressions import BrokenError, Scanner


def worked_out(text: str, **parameters: float) -> float:
    numbers = {int(name[1:]): value for name, value in parameters.items()}
    (words, _) = Scanner("X" + "".join(text.split()).upper(), parameters=numbers).block()
    return words[0][1]


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("[2.0/3*1.5-5.5/11.0]", 0.5),  # §3.3.2.3
        ("[1+2*3-4/5]", 6.2),  # from here on appendix C.2
        ("[15 MOD 4.0]", 3.0),
        ("[2 ** 3.0]", 8.0),
        ("[1 --3]", 4.0),
        ("[2 or 2]", 1.0),
        ("[2 xor 2]", 0.0),
        ("[0 and 1]", 0.0),
        ("sin[30]", 0.5),
        ("atan[1.7321]/[1.0]", 60.0),
        ("acos[0.707107]", 45.0),
        ("round[-0.499]", 0.0),
        ("round[-0.5001]", -1.0),
        ("fix[-0.499]", -1.0),
        ("fup[-0.5001]", 0.0),
        ("fix[-2.8]", -3.0),  # §3.3.2.4
        ("fup[-2.8]", -2.0),
    ],
)
def test_printed_examples_come_out(text: str, answer: float) -> None:
    assert worked_out(text) == pytest.approx(answer, abs=1e-3)


def test_powers_come_before_products_and_products_before_sums() -> None:
    # §3.3.2.3: three ranks, equal ones from left to right
    assert worked_out("[2 + 3 * 2 ** 2]") == 14.0
    assert worked_out("[2 ** 3 ** 2]") == 64.0
    assert worked_out("[12 / 2 * 3]") == 18.0
    assert worked_out("[1 or 0 and 0]") == 0.0


def test_a_remainder_is_never_negative() -> None:
    # NISTIR 6556's own arithmetic adds the divisor's size to a negative rest
    assert worked_out("[-7 mod 4]") == 1.0
    assert worked_out("[-7 mod -4]") == 1.0


def test_a_parameter_may_stand_for_an_index() -> None:
    assert worked_out("##2", p2=3.0, p3=7.5) == 7.5
    assert worked_out("#[1+1]", p2=4.0) == 4.0


def test_halves_are_rounded_away_from_zero() -> None:
    # the arithmetic of NISTIR 6556's own interpreter, from memory; its text says "round to nearest integer"
    assert [worked_out(f"round[{value}]") for value in (0.5, 1.5, 2.5, -0.5, -2.5)] == [1.0, 2.0, 3.0, -1.0, -3.0]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("[1/0]", "bad-expression"),
        ("sqrt[-1]", "bad-expression"),
        ("[-8 ** 0.5]", "bad-expression"),
        ("exp[1000]", "bad-expression"),
        ("ln[0]", "bad-expression"),
        ("[1 + 2", "bad-expression"),
        ("[" * 300 + "1" + "]" * 300, "bad-expression"),
        ("#0", "bad-parameter"),
        ("#5400", "bad-parameter"),
        ("#1.5", "bad-parameter"),
        ("#12", "parameter-unset"),
        ("-#1", "bad-number"),
        ("", "bad-number"),
        ("[]", "bad-number"),
        ("atan[1]", "bad-expression"),
    ],
)
def test_what_has_no_value_is_refused(text: str, code: str) -> None:
    with pytest.raises(BrokenError) as refused:
        worked_out(text)
    assert refused.value.code == code
