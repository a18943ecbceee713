"""Estimates and findings in short."""

from camplan.catalogue.plastics import Span
from camplan.findings import Finding, Severity
from camplan.moulding.records import Estimate


def one(figure: str, value: float, unit: str, sentence: str, source: str = "") -> Estimate:
    """A figure without a range."""
    return Estimate(figure=figure, least=value, most=value, unit=unit, sentence=sentence, source=source)


def spanned(figure: str, span: Span, unit: str, sentence: str, source: str, *, places: int) -> Estimate:
    """A figure with a range."""
    return Estimate(
        figure=figure,
        least=span.least,
        most=span.most,
        unit=unit,
        sentence=sentence,
        source=source,
        places=places,
    )


def unknown(figure: str, message: str) -> Finding:
    """That a figure cannot be told, and why."""
    return Finding(severity=Severity.CAUTION, code="not-known", message=message, where=figure)


def caution(code: str, message: str, *, where: str = "") -> Finding:
    """Something to look to."""
    return Finding(severity=Severity.CAUTION, code=code, message=message, where=where)
