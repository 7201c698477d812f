"""Single answers of the foundry put right and taken out: the old one stays struck, and no file brings it again."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.model.measuring import Person
from inspect_tui.shop.answers import put_right
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.common import find
from inspect_tui.shop.intake.rows import ImportRefused
from tests.shop.answers.conftest import FILLED, TODAY, brought, filled, saved
from tests.worlds.kit_jobs import Kit

CHECK, RUB = "S4-1-C1 check throat (T-1)", "S4-1-C1 rub rubbed, forced, broken?"


@pytest.fixture
def by(kit: Kit, tmp_path: Path) -> Person:
    """Who puts right; a sheet with a check and a rub has come in."""
    brought(kit, saved(tmp_path / "a.csv", filled(kit, FILLED)))
    return find.person(kit.record, "TK")


def answer(kit: Kit, name: str) -> SettingAnswer:
    thing = things.named(kit.record, things.sort_of("answer"), name, kit.job)
    return next(said for said in kit.record.setting_answers(kit.job.of_id) if said.id == thing.of_id)


def test_answers_are_named_by_sand_core_sort_and_what_was_asked(kit: Kit, by: Person) -> None:
    listed = things.standing(kit.record, things.sort_of("answer"), kit.job)
    assert [thing.name for thing in listed] == [CHECK, RUB]
    told = answer(kit, CHECK)
    kit.record.add_all([replace(told, id=b"", value=1.5), replace(told, id=b"", core_of_id=None, item_id=None)])
    listed = things.standing(kit.record, things.sort_of("answer"), kit.job)
    assert [thing.name for thing in listed][2:] == [f"{CHECK} (2)", "mould S4-1 check throat (T-1)"]


def test_another_stands_in_its_place_and_the_file_does_not_bring_the_old_one_again(
    kit: Kit, by: Person, tmp_path: Path
) -> None:
    old = answer(kit, CHECK)
    new = put_right.correct(kit.record, old, {"size": "1.24", "who": " HW "}, "misread", by, TODAY)
    assert (old.value, new.value, new.typed, new.who) == (1.42, 1.24, "1.24", "HW")
    assert (new.core_of_id, new.item_id, new.lower, new.upper, new.mould, new.on_date) == (
        old.core_of_id,
        old.item_id,
        old.lower,
        old.upper,
        old.mould,
        old.on_date,
    )
    assert [said.value for said in kit.record.setting_answers(kit.job.of_id)] == [None, 1.24]
    (gone,) = withdraw.gone(kit.record, kit.job)
    assert (gone.thing.name, gone.by, gone.why) == (CHECK, "TK", "misread")
    with pytest.raises(DataError, match="withdraw that one first"):
        withdraw.back(kit.record, gone.thing, "was right", by)
    with pytest.raises(ImportRefused, match="in the record already"):
        brought(kit, saved(tmp_path / "b.csv", [*filled(kit, FILLED), {}]))
    assert kit.record.verify().ok


def test_a_file_that_was_taken_back_brings_its_answers_anew(kit: Kit, by: Person, tmp_path: Path) -> None:
    file = things.named(kit.record, things.sort_of("import"), "a.csv", kit.job)
    withdraw.withdraw(kit.record, file, "of another kit", by)
    assert kit.record.setting_answers(kit.job.of_id) == []
    seen = brought(kit, saved(tmp_path / "b.csv", [*filled(kit, FILLED), {}]))
    assert (len(seen.said), len(kit.record.setting_answers(kit.job.of_id))) == (2, 2)


def test_what_was_put_right_goes_and_comes_back_with_the_file_of_its_first_answer(kit: Kit, by: Person) -> None:
    for size in ("1.24", "1.25"):
        put_right.correct(kit.record, answer(kit, CHECK), {"size": size}, "misread", by, TODAY)
    (file,) = things.standing(kit.record, things.sort_of("import"), kit.job)
    said = withdraw.depends(kit.record, file)
    assert "2 answers that came with it: out too" in said  # the check, put right twice, and the rub
    withdraw.withdraw(kit.record, file, "another job's", by)
    assert kit.record.setting_answers(kit.job.of_id) == []
    (gone,) = [one for one in withdraw.gone(kit.record, kit.job) if one.thing.sort is file.sort]
    withdraw.back(kit.record, gone.thing, "it was ours", by)
    assert sorted(str(one.value) for one in kit.record.setting_answers(kit.job.of_id)) == ["1.25", "None"]


def test_one_answer_goes_by_itself_and_comes_back(kit: Kit, by: Person) -> None:
    thing = things.named(kit.record, things.sort_of("answer"), RUB, kit.job)
    withdraw.withdraw(kit.record, thing, "said of another core", by)
    assert [said.sort for said in kit.record.setting_answers(kit.job.of_id)] == ["check"]
    withdraw.back(kit.record, thing, "of this one after all", by)
    assert [said.sort for said in kit.record.setting_answers(kit.job.of_id)] == ["check", "rub"]


def test_template_words_and_day_in_the_units_of_who_asks(kit: Kit, by: Person) -> None:
    inch = Style("in")
    old = answer(kit, CHECK)
    assert put_right.shown(old, inch)["size"] == "0.0559" and "in" in dict(put_right.fields_of(old, inch))["size"]
    new = put_right.correct(kit.record, old, {"size": "0.06", "result": "No-go"}, "by template", by, TODAY, inch)
    assert (new.value, new.result) == (pytest.approx(1.524), "no_go")
    again = put_right.correct(kit.record, new, {"size": ""}, "only by template", by, TODAY)
    assert (again.value, again.typed, again.result) == (None, None, "no_go")
    rub = put_right.correct(kit.record, answer(kit, RUB), {"words": "upper end", "day": "2026-11-17"}, "x", by, TODAY)
    assert (rub.words, rub.on_date) == ("upper end", "2026-11-17")


@pytest.mark.parametrize(
    ("name", "values", "why", "sentence"),
    [
        (CHECK, {"size": "1.2"}, " ", "Say why"),
        (CHECK, {"size": "wide"}, "x", "size: "),
        (CHECK, {"result": "maybe"}, "x", "neither go nor no-go"),
        (CHECK, {"words": "tight"}, "x", "words: a check has none; it has result, size, who, day"),
        (CHECK, {"size": ""}, "x", "withdraw the answer instead"),
        (CHECK, {"size": "1.42"}, "x", "Nothing is another"),
        (RUB, {"day": "2027-01-01"}, "x", "day: "),
        (RUB, {"words": "w" * 1001}, "x", "1000 are the most"),
        (RUB, {"size": "1"}, "x", "size: a rub has none"),
    ],
)
def test_what_cannot_be_put_right_is_said_and_nothing_is_written(
    kit: Kit, by: Person, name: str, values: dict[str, str], why: str, sentence: str
) -> None:
    before = kit.record.heads()
    with pytest.raises(DataError, match=sentence):
        put_right.correct(kit.record, answer(kit, name), values, why, by, TODAY)
    assert kit.record.heads() == before


def test_what_stands_in_the_form_and_was_not_touched_stays_to_the_last_figure(kit: Kit, by: Person) -> None:
    inch, old = Style("in"), answer(kit, CHECK)
    known = {key: put_right.shown(old, inch)[key] for key, _ in put_right.fields_of(old, inch)}
    new = put_right.correct(kit.record, old, known | {"who": "HW"}, "who it was", by, TODAY, inch)
    assert (new.value, new.typed, new.who) == (1.42, "1.42", "HW")  # 0.0559 in would be 1.41986 mm
