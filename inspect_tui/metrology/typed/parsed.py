"""What comes back when a person has typed a size or a contraction: plain frozen values, never an exception."""

from __future__ import annotations

from inspect_tui.frozen import frozen


@frozen
class Size:
    """One size as typed.

    `mm` is the true size in mm (degrees for an angle, degC for a temperature, 1.0 go and 0.0 no-go for a template);
    `typed` is the text as typed, 1 to 64 characters without control characters; `unit` the unit it was read in;
    `place_mm` what one step of the last typed place is worth, in the same unit as `mm`.
    """

    mm: float
    typed: str
    unit: str
    place_mm: float


@frozen
class TypedLine:
    """A line that was understood: one size for each reading, and remarks that the person should see.

    `bare_fraction`: a fraction without a unit was read in that of the instrument, which is not inches.
    """

    sizes: tuple[Size, ...]
    remarks: tuple[str, ...] = ()
    bare_fraction: bool = False


@frozen
class Ambiguous:
    """A line with several meanings: asked, never guessed. `text` is the line as it came."""

    choices: tuple[Size, ...]
    sentence: str
    text: str


@frozen
class Unreadable:
    """A line that is no size: the sentence says what was wrong and what to do. `text` is the line as it came.

    The sentence holds no control characters, but may quote markup that the person typed.
    """

    sentence: str
    text: str


@frozen
class ContractionTyped:
    """A contraction: `a` is always the fraction of the casting size, `of` is what the typed figure referred to."""

    a: float
    typed: str
    of: str = "casting"  # casting, pattern
