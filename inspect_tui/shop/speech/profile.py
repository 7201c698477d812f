"""How a gauge speaks, as it is typed, kept in the record, and used where readings are typed."""

from __future__ import annotations

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields, gauge_line
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.gauge_line import Speech
from inspect_tui.metrology.typed.show import number
from inspect_tui.metrology.typed.units import short_unit
from inspect_tui.model.gauges import InstrumentProfile
from inspect_tui.shop.speech import foot

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping

    from inspect_tui.model.measuring import Instrument
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

END_KEYS = {"enter": "Enter", "tab": "Tab", "both": "Tab, then Enter"}
SPEEDS = (300, 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200)  # baud that lines are usually set to
OTHER_DEEDS = [deed for deed in foot.DEEDS if deed not in ("log", "retry")]
FIELDS = (  # key, label of the form
    ("example", "example: let the gauge send one reading here; the rest follows"),
    ("reads", "display: what stood on its display then, where it is not plain"),
    ("prefix", "prefix: what it sends before the figure"),
    ("suffix", "suffix: what it sends behind it"),
    ("units", "letters: which mean which unit, such as M=mm I=in"),
    ("mark", "mark: its decimal mark, . or ,"),
    ("end", "end: what ends a reading: enter, tab, both (Tab, then Enter)"),
    ("port", "port: of a line of its own, such as /dev/ttyUSB0 or COM3"),
    ("speed", "speed: of that line, such as 9600"),
    ("request", "request: what asks it for a reading, such as ?"),
    ("pattern", "pattern: for odd lines; the figure is its first group"),
    ("foot", "foot: which key of its foot switch does what, such as f13=log f14=retry; also " + ", ".join(OTHER_DEEDS)),
)
KEYS = tuple(key for key, _ in FIELDS)


def shown(profile: InstrumentProfile | None) -> dict[str, str]:
    """What stands in the fields for a profile; empty texts for none."""
    texts = dict.fromkeys(KEYS, "")
    if profile is not None:
        texts |= {
            "prefix": profile.prefix or "",
            "suffix": profile.suffix or "",
            "units": profile.unit_letters or "",
            "mark": profile.decimal_mark or "",
            "end": profile.end_key or "",
            "port": profile.port or "",
            "speed": str(profile.speed) if profile.speed else "",
            "request": _escaped(profile.request or ""),
            "pattern": profile.pattern or "",
            "foot": profile.foot or "",
        }
    return texts


def with_said(old: InstrumentProfile | None, said: Mapping[str, str]) -> dict[str, str]:
    """The fields with what is said now: the rest stays, but what an example tells anew."""
    kept = shown(old)
    if said.get("example"):
        kept = dict.fromkeys(KEYS, "") | {"foot": kept["foot"]}
    return {**kept, **said}


def read(instrument: Instrument, texts: Mapping[str, str]) -> InstrumentProfile | Wrong:
    """The profile that the fields describe; an example fills what was left empty."""
    said = {key: texts.get(key, "") for key in KEYS}
    if said["example"].strip():
        learnt = gauge_line.learn(said["example"], said["reads"])
        if isinstance(learnt, Wrong):
            return Wrong(f"example: {learnt.what}", learnt.do)
        letters = learnt.letters
        follows = {
            "prefix": learnt.prefix,
            "suffix": learnt.suffix,
            "mark": learnt.mark,
            "pattern": gauge_line.pattern_of(learnt),
            "units": f"{letters}={gauge_line.plain_unit(letters) or instrument.unit}" if letters else "",
        }
        said |= {key: text for key, text in follows.items() if not said[key].strip()}
    units = read_units(said["units"])
    if isinstance(units, Wrong):
        return Wrong(f"letters: {units.what}", units.do)
    if said["mark"].strip() not in ("", ".", ","):
        return Wrong(f"mark: {said['mark'].strip()[:20]!r} is no decimal mark", "type . or ,")
    end = fields.optional(fields.choice)(said["end"], tuple(END_KEYS), "what ends a reading")
    speed = fields.optional(fields.count)(said["speed"], 50, 4_000_000)
    for name, value in (("end", end), ("speed", speed)):
        if isinstance(value, Wrong):
            return Wrong(f"{name}: {value.what}", value.do)
    if (why := _no_pattern(said["pattern"].strip())) is not None:
        return Wrong(f"pattern: {why}", "put it right, or let the gauge send an example")
    deeds = foot.read(said["foot"])
    if isinstance(deeds, Wrong):
        return Wrong(f"foot: {deeds.what}", deeds.do)
    for key, most in (
        ("prefix", 40),
        ("suffix", 40),
        ("units", 80),
        ("request", 40),
        ("port", 120),
        ("pattern", 200),
        ("foot", 120),
    ):
        if len(said[key]) > most:
            return Wrong(f"{key}: {len(said[key])} characters are too many", f"at most {most}")
    return InstrumentProfile(
        instrument_of_id=instrument.of_id,
        prefix=said["prefix"].strip() or None,
        suffix=said["suffix"].strip() or None,
        unit_letters=" ".join(said["units"].split()) or None,
        decimal_mark=said["mark"].strip() or None,
        end_key=end if isinstance(end, str) else None,
        request=_unescaped(said["request"]) or None,
        port=said["port"].strip() or None,
        speed=speed if isinstance(speed, int) else None,
        pattern=said["pattern"].strip() or None,
        foot=foot.plain(deeds) or None,
    )


def read_units(text: str) -> dict[str, str] | Wrong:
    """`M=mm I=in` as {M: mm, I: in}."""
    units = {}
    for part in text.replace(",", " ").split():
        letters, equals, unit = part.partition("=")
        known = short_unit(unit, "length") or short_unit(unit, "angle")
        if not equals or not letters or known is None:
            return Wrong(f"{part[:20]!r} says no unit", "type them such as M=mm I=in")
        units[letters] = known.name
    return units


def follows(instrument: Instrument, texts: Mapping[str, str]) -> str:
    """What the example is read as with what stands in the fields: `read as 59.66 mm`."""
    if not texts.get("example", "").strip():
        return "Let it send one reading into the first field; or type what it sends around its figure."
    made = read(instrument, texts)
    if isinstance(made, Wrong):
        return ""
    got = gauge_line.heard(texts["example"], speech(made, instrument), surely=True)
    return f"not read: {got}" if isinstance(got, Wrong) else f"That is read as {got}. {said(made)}"


def said(profile: InstrumentProfile) -> str:
    """A profile in a sentence: prefix 'ID1', letters M=mm, ends with Tab; line /dev/ttyUSB0 at 9 600."""
    parts = [f"{word} {text!r}" for word, text in (("prefix", profile.prefix), ("suffix", profile.suffix)) if text]
    if profile.unit_letters:
        parts.append(f"letters {profile.unit_letters}")
    if profile.decimal_mark:
        parts.append(f"mark {profile.decimal_mark}")
    if profile.end_key:
        parts.append(f"ends with {END_KEYS[profile.end_key]}")
    if profile.port:
        parts.append(f"line {profile.port}" + (f" at {number(profile.speed)} baud" if profile.speed else ""))
    if profile.request:
        parts.append(f"asked with {_escaped(profile.request)}")
    told = [f"{key} {foot.DEEDS[deed]}" for key, deed in deeds(profile).items()]
    return f"It sends: {', '.join(parts) or 'plain figures'}." + (f" Foot switch: {', '.join(told)}." if told else "")


def deeds(profile: InstrumentProfile | None) -> dict[str, str]:
    """What each key of its foot switch does; what only a later program knows is left out."""
    made = foot.read(profile.foot) if profile is not None and profile.foot else {}
    return {} if isinstance(made, Wrong) else made


def speech(profile: InstrumentProfile | None, instrument: Instrument) -> Speech:
    """What the decoder needs of a profile."""
    if profile is None:
        return Speech(unit=instrument.unit)
    units = read_units(profile.unit_letters or "")
    return Speech(
        prefix=profile.prefix or "",
        suffix=profile.suffix or "",
        units={} if isinstance(units, Wrong) else units,
        mark=profile.decimal_mark or "",
        pattern=profile.pattern or "",
        unit=instrument.unit,
    )


def put(record: Record, instrument: Instrument, made: InstrumentProfile, by: bytes) -> InstrumentProfile:
    """Write a profile: a new version where the gauge has one."""
    old = of(record, instrument)
    if old is None:
        added: InstrumentProfile = record.add(made, by=by)
        return added
    names: tuple[str, ...] = InstrumentProfile.__match_args__[4:]  # all that is said of it
    record.revise(old, by, **{name: getattr(made, name) for name in names})
    return replace(made, id=old.id, of_id=old.of_id)


def of(reader: Reader | Record, instrument: Instrument) -> InstrumentProfile | None:
    """How this gauge speaks; None where nobody said it."""
    return reader.instrument_profiles().get(instrument.of_id)


def _no_pattern(text: str) -> str | None:
    import re

    if not text:
        return None
    try:
        groups = re.compile(text).groups
    except re.error as problem:
        return f"it is no regular expression ({problem})"
    return None if groups else "it has no group for the figure"


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace("\r", "\\r").replace("\n", "\\n").replace("\x1b", "\\e")


def _unescaped(text: str) -> str:
    r"""What is typed as \r, \n and \e is the character."""
    made = {"\\r": "\r", "\\n": "\n", "\\e": "\x1b", "\\\\": "\\"}
    out, at = "", 0
    while at < len(text):
        pair = text[at : at + 2]
        out += made.get(pair, text[at])
        at += 2 if pair in made else 1
    return out.strip(" ")
