"""How a size stands: the three answers of a verdict, and what there is instead of one."""

from __future__ import annotations

from enum import StrEnum


class Standing(StrEnum):
    """The worst first. Three are the answers of a verdict, word for word: `Standing(verdict.answer)`."""

    DOES_NOT_CONFORM = "does not conform"
    UNDECIDED = "undecided"
    IN_QUESTION = "in question"
    CONFORMS = "conforms"
    NOT_JUDGED = "not judged"  # measured, and nothing has limits
    TO_MEASURE = "to measure"
    NOT_MEASURABLE = "not measurable"
