"""How a gauge speaks: typed, learnt from one reading, kept, said."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.gauge_line import heard
from inspect_tui.model.gauges import InstrumentProfile
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.speech import profile
from tests.conftest import SmallShop

TYPED = {
    "prefix": "01A",
    "suffix": "#",
    "units": "M=mm, I=in",
    "mark": ".",
    "end": "TAB",
    "port": "/dev/ttyUSB0",
    "speed": "9 600",
    "request": r"\e?\r\n",
    "pattern": r"01A([0-9.]+)(\w)#",
}


def test_what_is_typed_is_kept_and_shown_again(shop: SmallShop) -> None:
    made = profile.read(shop.caliper, TYPED)
    assert isinstance(made, InstrumentProfile)
    assert (made.request, made.speed, made.end_key, made.unit_letters) == ("\x1b?\r\n", 9600, "tab", "M=mm, I=in")
    again = profile.read(shop.caliper, profile.shown(made))
    assert again == made
    said = "prefix '01A', suffix '#', letters M=mm, I=in, mark ., ends with Tab, line /dev/ttyUSB0 at 9 600 baud, "
    assert profile.said(made) == f"It sends: {said}asked with \\e?\\r\\n."
    assert profile.said(InstrumentProfile(instrument_of_id=b"g" * 16)) == "It sends: plain figures."
    assert set(profile.shown(None).values()) == {""}


def test_the_rest_follows_from_an_example(shop: SmallShop) -> None:
    texts = {"example": "01A+00059.66M", "end": "both"}
    made = profile.read(shop.caliper, texts)
    assert isinstance(made, InstrumentProfile)
    assert (made.prefix, made.decimal_mark, made.unit_letters, made.end_key) == ("01A", ".", "M=mm", "both")
    assert profile.follows(shop.caliper, texts).startswith("That is read as 59.66 mm. It sends: prefix '01A'")
    assert isinstance(heard("01A+00059.6M", profile.speech(made, shop.caliper)), Wrong)
    inches = profile.read(replace(shop.caliper, unit="in"), {"example": "2.3488 X"})
    assert isinstance(inches, InstrumentProfile) and inches.unit_letters == "X=in"
    assert "first field" in profile.follows(shop.caliper, {})
    assert profile.follows(shop.caliper, {"example": "Err"}) == ""
    assert profile.follows(shop.caliper, {"example": "5.5", "prefix": "Z", "pattern": "Z([0-9.]+)"}).startswith(
        "not read"
    )


@pytest.mark.parametrize(
    ("texts", "why"),
    [
        ({"example": "T1.5 L2.5"}, "example: 'T1.5 L2.5' holds 2 figures"),
        ({"units": "M"}, "letters: 'M' says no unit: type them such as M=mm I=in"),
        ({"units": "M=parsec"}, "letters: 'M=parsec' says no unit"),
        ({"mark": ";"}, "mark: ';' is no decimal mark"),
        ({"end": "space"}, "end: 'space' is not among them"),
        ({"speed": "fast"}, "speed: "),
        ({"speed": "9600000"}, "speed: "),
        ({"pattern": "(["}, "pattern: it is no regular expression"),
        ({"pattern": "[0-9]+"}, "pattern: it has no group for the figure"),
        ({"prefix": "x" * 41}, "prefix: 41 characters are too many: at most 40"),
    ],
)
def test_what_is_wrong_is_said(shop: SmallShop, texts: dict[str, str], why: str) -> None:
    made = profile.read(shop.caliper, texts)
    assert isinstance(made, Wrong) and str(made).startswith(why)


def test_it_is_put_into_the_record_changed_and_withdrawn(shop: SmallShop) -> None:
    record, by = shop.record, shop.ab.id
    assert profile.of(record, shop.caliper) is None
    for end in ("enter", "tab"):
        made = profile.read(shop.caliper, {"end": end, "prefix": "Z"})
        assert isinstance(made, InstrumentProfile)
        profile.put(record, shop.caliper, made, by)
        kept = profile.of(record, shop.caliper)
        assert kept is not None and (kept.end_key, kept.prefix) == (end, "Z")
    thing = things.named(record, things.sort_of("profile"), shop.caliper.label, None)
    withdraw.withdraw(record, thing, "of another caliper", shop.ab)
    assert profile.of(record, shop.caliper) is None
    withdraw.back(record, things.named(record, thing.sort, thing.name, None, gone=True), "it is right", shop.ab)
    assert profile.of(record, shop.caliper) is not None
