"""`gauge profile` and `gauge listen`."""

from __future__ import annotations

import json
import os
import pty
import tty
from threading import Thread

import pytest

from inspect_tui.commands import gauge_profile
from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_learnt_from_a_reading_shown_and_tried(cli: Run, shop: SmallShop) -> None:
    gauge, by = ("--record", str(shop.path), "gauge", "profile", shop.caliper.label), ("--by", shop.ab.initials)
    assert "nobody has said how it speaks" in cli(*gauge).out
    assert cli(*gauge, "example=01A+00059.66M").err.endswith("Say who says it: --by INITIALS. Nothing was written.\n")
    ran = cli(*gauge, "example=01A+00059.66M", "end=tab", *by)
    assert (
        ran.status == 0
        and "speaks so from now on: It sends: prefix '01A', letters M=mm, mark ., ends with Tab" in ran.out
    )
    told = json.loads(cli(*gauge, "--json").out)
    assert (told["prefix"], told["end"], told["port"]) == ("01A", "tab", None)
    assert cli(*gauge, "--try", "01A+00082.83M").out == "82.83 mm\n"
    tried = cli(*gauge, "--try", "01A+00082.8M")
    assert tried.status == 1 and tried.out.startswith("not read: ")
    assert cli(*gauge, "mark=;", *by).status == 2
    assert "port" in cli(*gauge, "port=/dev/x", *by).out or "/dev/x" in cli(*gauge).out
    assert json.loads(cli(*gauge, "--json").out)["prefix"] == "01A"  # what was not said again stays


def test_its_foot_switch_is_said_stays_and_goes(cli: Run, shop: SmallShop) -> None:
    gauge, by = ("--record", str(shop.path), "gauge", "profile", shop.caliper.label), ("--by", shop.ab.initials)
    ran = cli(*gauge, "--foot", "F13=log f14=retry", *by)
    assert ran.status == 0
    assert "Foot switch: f13 logs what stands in the field, f14 reads the last size once more, blind." in ran.out
    assert cli(*gauge, "example=01A+00059.66M", *by).status == 0
    told = json.loads(cli(*gauge, "--json").out)
    assert (told["prefix"], told["foot"]) == ("01A", "f13=log f14=retry")  # an example tells nothing of it
    wrong = cli(*gauge, "--foot", "enter=log", *by)
    assert wrong.status == 2 and "foot: enter is no key for a foot switch" in wrong.err
    assert cli(*gauge, "--foot", "", *by).status == 0
    told = json.loads(cli(*gauge, "--json").out)
    assert (told["prefix"], told["foot"]) == ("01A", None)


def test_a_line_of_its_own_is_listened_to(cli: Run, shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    gauge = ("--record", str(shop.path), "gauge")
    assert "has no line of its own" in cli(*gauge, "listen", shop.caliper.label).err
    theirs, ours = pty.openpty()
    tty.setraw(ours)
    said = (f"port={os.ttyname(ours)}", "request=?", "--by", shop.ab.initials)
    assert cli(*gauge, "profile", shop.caliper.label, *said).status == 0
    asked: list[bytes] = []

    def answer() -> None:
        asked.append(os.read(theirs, 5))
        os.write(theirs, b"59.66\r\n")

    thread = Thread(target=answer, daemon=True)
    thread.start()
    assert cli(*gauge, "listen", shop.caliper.label, "--ask").out == "59.66 mm\n"
    thread.join()
    assert asked == [b"?"]
    monkeypatch.setattr(gauge_profile, "ANSWER_S", 0.01)
    ran = cli(*gauge, "listen", shop.caliper.label, "--ask")
    assert ran.status == 1 and "was asked and did not answer" in ran.err
    os.close(theirs)
    os.close(ours)
