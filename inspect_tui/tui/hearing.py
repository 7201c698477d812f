"""What a gauge sends to an entry line, read as its profile says: on every screen where readings are typed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.gauge_line import LOST, heard

if TYPE_CHECKING:
    from inspect_tui.model.gauges import InstrumentProfile
    from inspect_tui.model.measuring import Instrument

ENDS = {"tab": ("enter", "tab"), "both": ("enter", "tab")}


def instrument_of(screen: Any) -> Instrument | None:
    """The instrument in hand on a screen that takes readings; None where there is none."""
    for holder, name in (("filling", "instrument"), ("desk", "instrument"), ("bench", "means")):
        held = getattr(getattr(screen, holder, None), name, None)
        if held is not None:
            instrument: Instrument | None = getattr(held, "instrument", held)
            return instrument
    return None


def profile_of(screen: Any) -> InstrumentProfile | None:
    """How the instrument in hand speaks; None where nobody said it. Read once for each stay."""
    instrument = instrument_of(screen)
    if instrument is None:
        return None
    known: dict[bytes, InstrumentProfile] = screen.app.profiles()
    return known.get(instrument.of_id)


def end_keys(screen: Any) -> tuple[str, ...]:
    """The keys that end a reading here."""
    profile = profile_of(screen)
    return ENDS.get(profile.end_key or "", ("enter",)) if profile is not None else ("enter",)


def foot_logs(screen: Any, key: str) -> bool:
    """Whether a key is that of the foot switch that logs, of the gauge in hand."""
    profile = profile_of(screen)
    if profile is None or not profile.foot:
        return False
    from inspect_tui.shop.speech.profile import deeds

    return deeds(profile).get(key) == "log"


def scanned(screen: Any, text: str) -> bool:
    """Whether a line was a label of this shop: what it names is opened, or why it cannot be is said."""
    if "|" not in text:
        return False
    from inspect_tui.shop.speech import label

    if (named := label.read(text)) is None:
        return False
    try:
        job, subject = label.subject(screen.app.record, named)
    except InspectError as problem:
        screen.app.bell_if_on()
        screen.app.notify(str(problem), severity="warning", timeout=20, markup=False)
    else:
        screen.app.open_bench(job.of_id, subject)
    return True


def as_typed(screen: Any, text: str, by_gauge: bool = False) -> str:
    """A line as a person would have typed it; one of which a part was lost is marked, so that it can be no figure.

    `by_gauge`: it ended with a key that only the gauge sends, so that a bare figure is in the gauge's own unit.
    """
    profile, instrument = profile_of(screen), instrument_of(screen)
    if profile is None or instrument is None:
        return text
    from inspect_tui.shop.speech import profile as profiles

    speech = profiles.speech(profile, instrument)
    got = heard(text, speech, surely=by_gauge)
    if by_gauge and isinstance(got, Wrong):  # a person's Tab behind words: as if it had been Enter
        got = heard(text, speech)
    return got if not isinstance(got, Wrong) else text if LOST in text else f"{text}{LOST}"
