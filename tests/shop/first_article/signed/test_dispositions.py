"""What becomes of what does not conform: what may be said, what answers it, what keeps a report from being released."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import InspectError, NotAllowed, NotFound
from inspect_tui.record.store import Record
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.evidence import evidence
from inspect_tui.shop.first_article.result import DispositionLine
from inspect_tui.shop.first_article.signed import dispositions
from inspect_tui.shop.first_article.signed.dispositions import open_points
from tests.worlds.signed_shop import GOOD, made, read, sampling, who

TODAY = "2026-03-10"
CONCESSION = {"feature": "F11", "decision": "concession", "until": "2026-12-31", "quantity": "2", "why": "fits"}


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    bad = {**GOOD, "F11": 31.5, "F12": 31.5, "F13": 31.5, "F14": 31.5}
    with made(tmp_path / "d.db", {"C1": GOOD, "C2": bad, "C3": bad}) as record:
        yield record


def decide(record: Record, by: str = "LE", today: str = TODAY, **values: str) -> str:
    now, person = sampling(record), who(record, by)
    return dispositions.put(record, now, dispositions.read(now, values, person, today), person)


def lines(record: Record) -> dict[tuple[str, str], DispositionLine]:
    article = first_article(record, sampling(record).job, causes=False)
    return {(line.balloon, line.serial): line for line in article.dispositions}


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({**CONCESSION, "until": "2026-03-09"}, "2026-03-09 has been already"),
        ({**CONCESSION, "until": ""}, "holds to a day"),
        ({**CONCESSION, "quantity": "11"}, "11 castings are more than the 10 of the order"),
        ({**CONCESSION, "quantity": ""}, "type how many"),
        ({**CONCESSION, "quantity": "0"}, "one casting at least"),
        ({**CONCESSION, "quantity": "2.5"}, "no whole number"),
        ({**CONCESSION, "casting": "C1"}, "F11 on casting C1 conforms: there is nothing to decide"),
        ({**CONCESSION, "feature": "F1"}, "F1 on the castings of S1 conforms"),
        ({**CONCESSION, "feature": "F99"}, "F99"),
        ({**CONCESSION, "feature": ""}, "say what does not conform"),
        ({**CONCESSION, "why": " "}, "in a few words why"),
        ({**CONCESSION, "day": "2026-03-11"}, "day: "),
        ({**CONCESSION, "decision": "weld"}, "'weld' is not among them"),
        ({"feature": "F11", "decision": "scrap", "why": "x", "quantity": "2"}, "goes with a concession"),
        ({"feature": "G3", "decision": "scrap", "why": "x"}, "was not judged yet: measure it first"),
        ({"feature": "G4", "decision": "scrap", "why": "x"}, "G4 on the castings of S1 conforms"),
    ],
)
def test_what_cannot_be_decided_is_said_and_nothing_is_written(
    record: Record, values: dict[str, str], why: str
) -> None:
    before = record.heads()
    with pytest.raises(InspectError, match=why):
        decide(record, **values)
    assert record.heads() == before


def test_the_last_day_of_a_concession_may_be_today_and_its_number_the_whole_order(record: Record) -> None:
    said = decide(record, **{**CONCESSION, "until": TODAY, "quantity": "10"})
    assert said == "Decided: F11 on every casting: use as it is by concession, for 10 castings, to 2026-03-10."


def test_a_person_without_the_role_decides_nothing(record: Record) -> None:
    with pytest.raises(NotAllowed, match="FO is here as foundry"):
        decide(record, by="FO", **CONCESSION)
    assert record.dispositions(sampling(record).job.of_id) == []


def test_a_decision_is_about_every_casting_or_about_one_and_the_one_goes_first(record: Record) -> None:
    decide(record, **CONCESSION)
    decide(record, feature="F11", casting="C3", decision="scrap", why="porous too", agreed="", reference="N 7")
    now = lines(record)
    assert (now["F11", "C2"].decision, now["F11", "C2"].quantity, now["F11", "C2"].closed) == ("concession", 2, True)
    assert (now["F11", "C3"].decision, now["F11", "C3"].reference, now["F11", "C3"].by) == ("scrap", "N 7", "LE")
    assert now["F12", "C3"].closed and not now["F12", "C3"].decision  # the casting goes nowhere
    assert not now["F12", "C2"].closed
    assert ("F11", "C1") not in now


def test_a_reading_after_a_rework_answers_it_and_the_one_before_still_speaks_of_the_tool(record: Record) -> None:
    decide(record, feature="F11", casting="C2", decision="rework", why="ground")
    assert lines(record)["F11", "C2"].again is None
    assert open_points([lines(record)["F11", "C2"]], TODAY) == [
        "F11 on C2 (does not conform, 31.50 ± 0.09 mm) is to be measured again after rework"
    ]
    read(record, "C2", {"F11": 30.1}, by="IN")
    line = lines(record)["F11", "C2"]
    assert (line.found, line.found_value) == (Standing.DOES_NOT_CONFORM, pytest.approx(31.5))
    assert (line.again, line.again_value, line.again_by) == (Standing.CONFORMS, pytest.approx(30.1), "IN")
    assert line.closed and open_points([line], TODAY) == []
    now = sampling(record)
    feature, item = now.feature("F11"), now.casting("C2")
    assert now.cell(feature, item).value == pytest.approx(30.1)  # not the mean of both
    assert now.found(feature, item).value == pytest.approx(31.5)
    seen = next((one for one in evidence(now).features if one.balloon == "F11"), None)
    assert seen is None or seen.readings["C2"].mm == pytest.approx(31.5)


def test_a_rework_that_did_not_help_stays_open(record: Record) -> None:
    decide(record, feature="F11", casting="C2", decision="rework", why="ground")
    read(record, "C2", {"F11": 31.4})
    line = lines(record)["F11", "C2"]
    assert not line.closed
    assert open_points([line], TODAY) == [
        "F11 on C2 (does not conform, 31.40 ± 0.09 mm) is still not right after rework"
    ]


def test_a_geometrical_tolerance_is_answered_by_its_sizes_measured_again(record: Record) -> None:
    decide(record, feature="G5", casting="C2", decision="rework", why="planed")
    read(record, "C2", dict.fromkeys(("F11", "F12", "F13", "F14"), 30.1))
    line = lines(record)["G5", "C2"]
    assert (line.found_value, line.again_value) == (pytest.approx(3.0), pytest.approx(0.2))
    assert line.again == Standing.CONFORMS and line.closed


def test_a_decision_is_said_otherwise_and_taken_back(record: Record) -> None:
    decide(record, **CONCESSION)
    now, person = sampling(record), who(record, "LE")
    old = dispositions.named(now, "f11")
    assert dispositions.first_values(now, old)["until"] == "2026-12-31"
    values = {**dispositions.first_values(now, old), "decision": "scrap", "until": "", "quantity": ""}
    dispositions.change(record, now, old, dispositions.read(now, values, person, TODAY), person)
    now = sampling(record)
    (said,) = dispositions.of_sampling(now)
    assert (said.decision, said.of_id) == ("scrap", old.of_id)
    dispositions.take_back(record, now, said, person)
    assert not lines(record)["F11", "C2"].decision
    with pytest.raises(NotFound, match="Nothing was decided about F11 on casting C2"):
        dispositions.named(sampling(record), "F11", "C2")


def test_what_keeps_a_report_back_is_named_requirement_by_requirement(record: Record) -> None:
    decide(record, **CONCESSION)  # for two castings, and two need it
    assert not any("is for" in point for point in open_points(list(lines(record).values()), TODAY))
    decide(record, **{**CONCESSION, "quantity": "1"})
    decide(record, feature="F12", decision="correct_tool", why="worn")
    points = open_points(list(lines(record).values()), TODAY)
    assert "F12 on C2 and C3 waits for a corrected tool and a new sampling" in points
    assert "nothing was decided about F13 on C2 and C3" in points
    assert "the concession for F11 is for 1 casting, 2 need it" in points
    assert open_points(list(lines(record).values()), "2027-01-01")[0].startswith("the concession for F11 on C2 and C3")


def test_the_same_castings_of_another_sampling_have_decisions_of_their_own(record: Record) -> None:
    from inspect_tui.shop.first_article.castings.put_right import open_round

    decide(record, **CONCESSION)
    open_round(record, sampling(record).job, "S2", ["D1"])
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling

    job = sampling(record).job
    assert dispositions.of_sampling(Sampling(record, job, pick_round(record, job, "S2"))) == []
    assert len(dispositions.of_sampling(sampling(record))) == 1
