"""How a size stands: what a verdict answers, and what there is instead of one."""

from __future__ import annotations

from enum import StrEnum


class Standing(StrEnum):
    """The worst first. Four are the answers of a verdict, word for word: `Standing(verdict.answer)`."""

    DOES_NOT_CONFORM = "does not conform"
    UNDECIDED = "undecided"
    IN_QUESTION = "in question"
    CONFORMS = "conforms"
    NO_LIMITS = "no limits"  # measured, and there is nothing to judge it by
    TO_MEASURE = "to measure"
    NOT_MEASURABLE = "not measurable"
