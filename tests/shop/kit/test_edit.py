"""Writing down a kit: what is understood, what is refused with a sentence, and that nothing is lost or half written."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import InspectError, JobFileError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.kit import Fit, Passage
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.facts import KitFacts
from tests.worlds.kit_jobs import Kit, two_cores


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield two_cores(record)


FORM = {
    "label": "K7",
    "place": "",
    "kind": "key",
    "inner": "core 2",
    "outer": "core 1",
    "print": "",
    "seat": "",
    "axis": "y",
    "way_in": "z-",
    "clearance": "0.2 0.5",
    "holds": "y",
    "lift": "",
    "at": "",
    "mark": "blue",
}


def typed(made: Kit, **values: str) -> Fit:
    return edit.read_fit(KitFacts(made.record, made.job), {**FORM, **values})


def test_a_fit_is_read_from_what_people_type(made: Kit) -> None:
    fit = typed(made, clearance="0,2 to 0,5", at="10 20 -5", lift="0.3", inner="2", print="K2-P", seat="k2-s")
    assert (fit.clear_min_mm, fit.clear_max_mm, fit.lift_mm) == (0.2, 0.5, 0.3)
    assert (fit.at_x, fit.at_y, fit.at_z) == (10.0, 20.0, -5.0)
    assert fit.inner_core_id == made.core[2].of_id
    assert fit.inner_feature_id == made.feature["K2-P"].id
    assert fit.outer_feature_id == made.feature["K2-S"].id


def test_a_fit_goes_to_the_form_and_back_unchanged(made: Kit) -> None:
    facts = KitFacts(made.record, made.job)
    for fit in facts.fits:
        values = {key: value for key, _, value in edit.fields_of(facts, fit)}
        again = edit.read_fit(facts, values)
        for name in (
            "label",
            "inner_core_id",
            "outer_core_id",
            "outer_half",
            "inner_feature_id",
            "outer_feature_id",
            "clear_min_mm",
            "clear_max_mm",
            "holds",
            "at_x",
            "at_z",
        ):
            assert getattr(again, name) == getattr(fit, name), name


def test_without_a_clearance_the_shipped_practice_for_the_size_is_taken_and_named(made: Kit) -> None:
    fit = typed(made, kind="print", clearance="", print="K2-P")
    # table of clearances: machine moulding, up to 100 mm, 0.15 to 0.3 a side, common practice
    assert (fit.clear_min_mm, fit.clear_max_mm) == (pytest.approx(0.3), pytest.approx(0.6))
    assert "common-practice" in fit.band_source


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"label": ""}, "Give the fit a name"),
        ({"inner": ""}, "say which core goes in"),
        ({"inner": "core 9"}, "There is no core 9"),
        ({"outer": "the floor"}, "neither cope nor drag nor core N"),
        ({"clearance": "0.3"}, "clearance: 0.3 is no range: type it such as 0.30 0.70"),
        ({"clearance": "some"}, "clearance: some is not a size"),
        ({"clearance": "nan 1"}, "clearance: nan is not a size"),
        ({"clearance": ""}, "give the clearance, or the size"),
        ({"at": "1 2"}, "1 2 are 2 sizes, not 3"),
        ({"print": "K9-P"}, "K9-P is not on revision A"),
        ({"print": "F1"}, "is a size of the casting"),
    ],
)
def test_what_cannot_be_read_is_a_sentence(made: Kit, values: dict[str, str], words: str) -> None:
    with pytest.raises(InspectError, match=words):
        typed(made, **values)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"inner": "core 1", "outer": "core 1"}, "core 1 cannot sit in itself"),
        ({"outer": ""}, "a print without a seat"),
        ({"seat": "K2-S"}, "seat K2-S is claimed by K2 already"),
        ({"label": "K2"}, "K2 is there already"),
        ({"clearance": "0 0.4"}, "a clearance of 0 mm leaves no room"),
        ({"clearance": "-0.2 0.4"}, "a clearance of -0.2 mm leaves no room"),
        ({"clearance": "0.5 0.3"}, "clearance: 0.5 0.3 does not go from low to high"),
        ({"holds": "up"}, "'up' is no direction"),
        ({"axis": "q"}, "the axis is one of"),
        ({"kind": "bolt"}, "the kind is one of"),
    ],
)
def test_what_contradicts_itself_is_refused_with_a_sentence_and_nothing_is_written(
    made: Kit, values: dict[str, str], words: str
) -> None:
    before = made.record.counts()
    with pytest.raises(JobFileError, match=words):
        edit.add_fit(made.record, made.job, typed(made, **values))
    assert made.record.counts() == before


def test_what_is_wrong_with_a_fit_is_said_in_inches_and_its_form_stays_in_mm(made: Kit) -> None:
    facts, inches, fit = KitFacts(made.record, made.job), Style("in"), made.fit["K2"]
    turned = replace(fit, clear_min_mm=0.762, clear_max_mm=0.508)
    assert "0.03 is above 0.02" in edit.wrong_fit(facts, turned, inches)
    assert "a clearance of 0 in leaves no room" in edit.wrong_fit(facts, replace(fit, clear_min_mm=0.0), inches)
    with pytest.raises(JobFileError, match=r"no-go 0\.4 is above go 0\.3"):
        edit.set_core_detail(made.record, made.job, made.core[1], style=inches, check_lower=10.16, check_upper=7.62)
    typed_again = {key: first for key, _, first in edit.fields_of(facts, replace(fit, lift_mm=1.5))}
    assert (typed_again["clearance"], typed_again["lift"]) == ("0.3 0.7", "1.5")


def test_a_changed_fit_keeps_its_old_version_and_a_dropped_one_leaves_the_kit(made: Kit) -> None:
    old = made.fit["K2"]
    new = edit.change_fit(made.record, made.job, old, clear_max_mm=0.9)
    assert (new.of_id, new.replaces_id) == (old.of_id, old.id)
    assert [f.clear_max_mm for f in made.record.fits(made.job.of_id) if f.label == "K2"] == [0.9]
    edit.drop_fit(made.record, new)
    assert [f.label for f in made.record.fits(made.job.of_id)] == ["K1"]
    assert len(made.record.fits(made.job.of_id, dropped=True)) == 2
    assert made.record.counts()["fit"] == 4


# ------------------------------------------------------------------------------ order
def test_a_core_moves_in_the_order_where_seats_allow_it(made: Kit) -> None:
    made.add_core(3, set_order=3)
    made.add_fit("K3", 3, "drag", holds="x,y,z,rx,ry,rz")
    assert edit.move_core(made.record, made.job, 3, -1) == ("1", "3", "2")
    assert kit.check(made.record, made.job).sequence == ("1", "3", "2")
    assert edit.move_core(made.record, made.job, 3, -1) == ("3", "1", "2")


def test_a_move_that_a_seat_forbids_is_refused_with_the_seat_and_nothing_is_written(made: Kit) -> None:
    before = made.record.counts()
    with pytest.raises(JobFileError, match=r"Core 2 stays where it is: core 2 cannot be set: core 1, .* is not there"):
        edit.move_core(made.record, made.job, 2, -1)
    with pytest.raises(JobFileError, match="Core 1 is set first already"):
        edit.move_core(made.record, made.job, 1, -1)
    with pytest.raises(NotFound, match="no core 7"):
        edit.move_core(made.record, made.job, 7, 1)
    assert made.record.counts() == before


def test_more_is_said_about_a_core_without_losing_what_was_said_before(made: Kit) -> None:
    core = made.core[1]
    edit.set_core_detail(made.record, made.job, core, in_metal_dm3=0.5)
    edit.set_core_detail(made.record, made.job, core, vents="two")
    detail = made.record.core_details(made.job.of_id)[core.of_id]
    assert (detail.in_metal_dm3, detail.vents) == (0.5, "two")
    with pytest.raises(JobFileError, match="the check contradicts itself"):
        edit.set_core_detail(made.record, made.job, core, check_lower=9.0, check_upper=8.0)


# ------------------------------------------------------------------------------ passages
@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("F1 * F99", "F99 is no feature here"),
        ("__import__('os').system('true')", "is no function here"),
        ("F1.real", "not arithmetic"),
        ("[F1]", "not arithmetic"),
        ("F1 if F1 else 0", "not arithmetic"),
        ("F1 ** 99", "too high"),
        ("F1 +", "is not arithmetic"),
        ("", "no formula"),
        ("F1 + F1 * F1", "do not go together"),
        ("9" * 600, "characters"),
    ],
)
def test_a_formula_that_is_not_arithmetic_over_this_job_is_refused_with_a_sentence(
    made: Kit, formula: str, words: str
) -> None:
    with pytest.raises(JobFileError, match=words):
        edit.add_passage(
            made.record, made.job, Passage(job_of_id=made.job.of_id, label="P1", name="p", formula=formula)
        )
    assert made.record.passages(made.job.of_id) == []


def test_a_formula_that_got_into_the_record_another_way_is_said_and_the_check_goes_on(made: Kit) -> None:
    made.record.add(Passage(job_of_id=made.job.of_id, label="P1", name="p", formula="F1 * G7"))
    check = kit.check(made.record, made.job)
    assert any("G7 is no feature here" in text for text in check.against)
    assert len(check.lines) == 2


# ------------------------------------------------------------------------------ pictures
def test_details_that_say_nothing_new_are_not_written(made: Kit) -> None:
    record = made.record
    tool = record.tools(made.job.of_id)[0]
    core = edit.set_core_detail(record, made.job, made.core[1], vents="two")
    detail = edit.set_tool_detail(record, made.job, tool, mark="red")
    before = record.frontier()
    assert edit.set_core_detail(record, made.job, made.core[1], vents="two").id == core.id
    assert edit.set_tool_detail(record, made.job, tool, mark="red").id == detail.id
    assert edit.change_fit(record, made.job, made.fit["K1"], axis=made.fit["K1"].axis) == made.fit["K1"]
    assert record.frontier() == before
    assert edit.set_tool_detail(record, made.job, tool, mark="blue").replaces_id == detail.id


# ------------------------------------------------------------------------------ bodies
def body(made: Kit, text: str) -> tuple[int, str]:
    facts = KitFacts(made.record, made.job)
    core = facts.core[made.core[1].of_id]
    count = edit.set_body(made.record, facts, core, text, made.person.id)
    return count, edit.body_words(KitFacts(made.record, made.job), core)


def test_the_boxes_of_a_body_are_given_changed_and_taken_back(made: Kit) -> None:
    assert body(made, '0 100 0 50 0 30; 4 5 -1 1 0 1"') == (2, "0 100 0 50 0 30; 101.6 127 -25.4 25.4 0 25.4")
    assert body(made, " 0 100 0 50 40 0 ; ") == (1, "0 100 0 50 0 40")  # either face first
    assert body(made, "0 100 0 50 0 40") == (1, "0 100 0 50 0 40")
    rows = made.record.core_bodies(made.job.of_id)[made.core[1].of_id]
    assert len(rows) == 1 and rows[0].replaces_id is not None
    assert body(made, "") == (0, "")
    assert body(made, "0 1 0 1 0 1; 2 3 0 1 0 1") == (2, "0 1 0 1 0 1; 2 3 0 1 0 1")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0 100 0 50 30 30", "core 1 has no height: both its faces along z stand at 30 mm; give the other."),
        ("0 100 0 50", "core 1: '0 100 0 50' is no box: six figures, x y z from and to"),
        ("0 100 0 50 0 high", "is no box"),
    ],
)
def test_a_body_that_is_none_is_refused_in_plain_words(made: Kit, text: str, said: str) -> None:
    with pytest.raises(JobFileError) as wrong:
        body(made, text)
    assert said in str(wrong.value)
    assert made.record.core_bodies(made.job.of_id) == {}


def test_a_core_is_not_moved_behind_one_that_would_stand_in_its_way(made: Kit) -> None:
    record = made.record
    for number in (3, 4):
        made.add_core(number, set_order=number)
        made.add_fit(f"K{number}", number, "drag")
    facts = KitFacts(record, made.job)
    edit.set_body(record, facts, facts.core[made.core[3].of_id], "0 100 0 50 0 30")
    edit.set_body(record, facts, facts.core[made.core[4].of_id], "80 180 0 50 60 90")
    with pytest.raises(JobFileError, match="Core 3 stays where it is: core 3 may be blocked by core 4: look"):
        edit.move_core(record, made.job, 3, 1)
    assert edit.move_core(record, made.job, 3, -1) == ("1", "3", "2", "4")


def test_what_print_and_seat_are_is_read_back_while_a_fit_is_typed(made: Kit) -> None:
    facts = KitFacts(made.record, made.job)
    values = {**FORM, "inner": "2", "print": "K2-P", "seat": "K2-S"}
    print_, seat, *_ = edit.follows(facts, values).splitlines()
    assert print_.startswith("print K2-P: outside of core 2, such as a print")
    assert seat.startswith("seat K2-S: opening in") and "such as a seat" in seat
    assert edit.follows(facts, {**values, "print": "", "seat": "", "clearance": "0.2 0.4"}).count("\n") == 0
