"""A feature as a form: what it does not show stays, what was not typed over stays exact, places and notes are taken."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.work import ChainStep, End, Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.jobs import feature_form, jobs
from tests.conftest import SmallShop


def feature(shop: SmallShop, balloon: str) -> Feature:
    job = find.job(shop.record, None)
    return next(f for f in shop.record.features(find.latest_revision(shop.record, job).id) if f.balloon == balloon)


def shown(shop: SmallShop, one: Feature) -> dict[str, str]:
    cores = core_numbers(shop.record, find.job(shop.record, None))
    return {key: first for key, _, first in feature_form.fields_of(one, cores)}


def bare(one: Feature) -> Feature:
    """Without what a new row gets anew."""
    ends = tuple(replace(end, id=b"", feature_id=b"") for end in one.ends)
    return replace(one, id=b"", revision_id=b"", same_as_id=None, ord=0, ends=ends)


@pytest.mark.parametrize("balloon", ["F1", "F2", "F3", "F4", "F5", "P1"])
def test_a_form_that_nobody_typed_in_changes_nothing(shop: SmallShop, balloon: str) -> None:
    job, old = find.job(shop.record, None), feature(shop, balloon)
    made = feature_form.read(shop.record, job, shown(shop, old), "ISO 2768-1 m", old)
    assert isinstance(made, Feature), made
    assert bare(made) == bare(old)


@given(
    nominal=st.floats(20.0, 3000.0),
    low=st.floats(0.001, 1.0),
    one_sided=st.booleans(),
    note=st.text(max_size=20),
    coat=st.floats(0.0, 0.5),
    at=st.floats(-500.0, 500.0),
    deg=st.floats(0.0, 5.0),
    own=st.floats(0.001, 0.02),
    scale=st.sampled_from(["cast", "tool", "layout"]),
    stock=st.floats(0.0, 9.0),
)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_a_feature_holds_survives_a_change_of_its_name(
    shop: SmallShop,
    nominal: float,
    low: float,
    one_sided: bool,
    note: str,
    coat: float,
    at: float,
    deg: float,
    own: float,
    scale: str,
    stock: float,
) -> None:
    job, base = find.job(shop.record, None), feature(shop, "F1")
    ends = tuple(replace(e, coat_mm=coat, coord_mm=at + n, stock_mm=stock) for n, e in enumerate(base.ends))
    old = replace(
        base,
        nominal=nominal,
        lower=nominal - low,
        upper=None if one_sided else nominal + low,
        draft_deg=deg,
        draft_h_mm=12.3456789,
        a=own,
        ua=0.001,
        note=note.strip() or None,
        scale=scale,
        ends=ends,
        band_source="customer's letter",
        machined=True,
    )
    values = shown(shop, old) | {"name": "another name"}
    made = feature_form.read(shop.record, job, values, "ISO 2768-1 m", old)
    assert isinstance(made, Feature), made
    assert bare(made) == bare(replace(old, name="another name"))


def test_what_is_typed_over_is_taken_and_the_rest_kept(shop: SmallShop) -> None:
    job, old = find.job(shop.record, None), feature(shop, "F1")
    old = replace(old, note="at x = 120", ends=tuple(replace(end, coat_mm=0.15) for end in old.ends))
    made = feature_form.read(
        shop.record,
        job,
        shown(shop, old)
        | {"limits": "±0.5", "at": "20 82.5", "note": "at x = 130, z = 30", "sheet": "2", "zone": "C4"},
        None,
        old,
    )
    assert isinstance(made, Feature)
    assert (made.lower, made.upper) == (61.5, 62.5)
    assert [end.coord_mm for end in made.ends] == [20.0, 82.5]
    assert [end.coat_mm for end in made.ends] == [0.15, 0.15]
    assert made.note == "at x = 130, z = 30"
    assert (made.sheet, made.zone, made.characteristic) == ("2", "C4", None)


@pytest.mark.parametrize(
    ("typed", "size", "lower", "upper"),
    [
        ("±0.8", "70", 69.2, 70.8),
        ("+0.5/-0.3", "70", 69.7, 70.5),
        ("60..64", "61", 60.0, 64.0),
        ("min 60", "61", 60.0, None),
        ("H7", "90", 90.0, 90.035),  # ISO 286-2: IT7 over 80 up to 120 mm is 35 um, from memory
        ("ISO 286 h7", "90", 89.965, 90.0),
        ("DCTG 9", "70", 68.9, 71.1),  # ISO 8062-3: 2.2 mm over 63 up to 100, as the table has it
    ],
)
def test_limits_stay_as_they_were_typed_when_the_size_changes(
    shop: SmallShop, typed: str, size: str, lower: float, upper: float | None
) -> None:
    job, old = find.job(shop.record, None), feature(shop, "F1")
    first = feature_form.read(shop.record, job, shown(shop, old) | {"limits": typed}, None, old)
    assert isinstance(first, Feature), first
    again = shown(shop, first)
    assert typed.removeprefix("ISO 286 ") in again["limits"]
    made = feature_form.read(shop.record, job, again | {"nominal": size}, None, first)
    assert isinstance(made, Feature), made
    assert made.lower == pytest.approx(lower, abs=1e-6) and made.upper == (
        None if upper is None else pytest.approx(upper, abs=1e-6)
    )
    assert shown(shop, made)["limits"] == again["limits"]


def test_limits_that_no_words_were_kept_of_are_shown_as_sizes(shop: SmallShop) -> None:
    old = replace(feature(shop, "F1"), band_source="drawing")
    assert shown(shop, old)["limits"] == "61.2..62.8"
    assert shown(shop, replace(old, band_source="drawing ±0.5"))["limits"] == "61.2..62.8"  # no longer true


def test_the_grade_of_a_wall_is_not_made_coarser_twice(shop: SmallShop) -> None:
    job, old = find.job(shop.record, None), feature(shop, "F5")
    first = feature_form.read(shop.record, job, shown(shop, old) | {"limits": "DCTG 9"}, None, old)
    assert isinstance(first, Feature), first
    made = feature_form.read(shop.record, job, shown(shop, first) | {"nominal": "8.5"}, None, first)
    assert isinstance(made, Feature) and made.upper is not None and made.lower is not None
    assert first.upper is not None and first.lower is not None
    assert made.upper - made.lower == pytest.approx(first.upper - first.lower)
    assert shown(shop, made)["limits"] == "ISO 8062-3 DCTG 9"


def test_raw_limits_go_with_the_raw_size_and_stay_exact_where_it_stays(shop: SmallShop) -> None:
    """F1: 62 with 1.5 a side of a space, 59 as cast, raw ±0.8."""
    job, old = find.job(shop.record, None), replace(feature(shop, "F1"), raw_lower=58.2000001)
    assert shown(shop, old)["limits_raw"] == "58.2..59.8"

    def made(of: Feature, **values: str) -> Feature:
        answer = feature_form.read(shop.record, job, shown(shop, of) | values, None, of)
        assert isinstance(answer, Feature), answer
        return answer

    assert made(old, name="another name").raw_lower == 58.2000001
    first = feature(shop, "F1")
    moved = made(first, nominal="63")
    assert (moved.raw_lower, moved.raw_upper, moved.raw_source) == (
        pytest.approx(59.2),
        pytest.approx(60.8),
        "drawing ±0.8",
    )
    stocked = made(first, stock="2 2")
    assert (stocked.raw_lower, stocked.raw_upper) == (pytest.approx(57.2), pytest.approx(58.8))
    clean = made(first, limits_raw="clean up")
    assert (clean.raw_lower, clean.raw_upper, clean.raw_source) == (None, None, "must clean up")
    assert made(first, limits_raw="").raw_source is None
    bare_again = shown(shop, first) | {"stock": "0 0"}
    assert feature_form.read(shop.record, job, bare_again, None, first) == (
        "Raw limits: F1 carries no stock, so it has one size only: its limits are those of the drawing."
    )
    tools = shop.record.tools(job.of_id)
    means = "outside of core 1; too large is cut on stick 1, built up in box 1\n"
    cores = core_numbers(shop.record, job)
    told = feature_form.follows(job, first, tools, core_numbers=cores)
    assert told.startswith(f"{means}as cast 59.00, ±0.80, drawing ±0.8\n")
    told = feature_form.follows(job, clean, tools, core_numbers=cores)
    assert told.startswith(f"{means}as cast 59.00, max 62.80, must clean up\n")


def test_a_newer_version_of_its_core_is_no_change_of_a_feature(shop: SmallShop) -> None:
    job, old = find.job(shop.record, None), feature(shop, "F1")
    shop.record.revise(shop.record.cores(job.of_id)[0], name="passage, renamed")
    made = feature_form.read(shop.record, job, shown(shop, old), None, old)
    assert isinstance(made, Feature) and bare(made) == bare(old)
    jobs.revise(shop.record, job, "B", [replace(old, ends=newest_ends(shop, old))])  # entered with the newer version
    shop.record.revise(shop.record.cores(job.of_id)[0], name="renamed again")
    assert shown(shop, feature(shop, "F1"))["a"] == "core 1"


def newest_ends(shop: SmallShop, old: Feature) -> tuple[End, ...]:
    core = shop.record.cores(find.job(shop.record, None).of_id)[0]
    return tuple(replace(end, core_id=core.id) for end in old.ends)


@pytest.mark.parametrize(
    ("values", "sentence"),
    [({"at": "20"}, "two places"), ({"at": "left right"}, "At:"), ({"scale": "small"}, "scale is one of")],
)
def test_places_and_scales_that_are_none(shop: SmallShop, values: dict[str, str], sentence: str) -> None:
    old = feature(shop, "F1")
    made = feature_form.read(shop.record, find.job(shop.record, None), shown(shop, old) | values, None, old)
    assert isinstance(made, str)
    assert sentence in made


def test_a_print_may_be_entered_at_tooling_scale(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    values = dict(
        balloon="P9",
        name="print",
        quantity="width",
        axis="y",
        nominal="40",
        limits="+0/-0.2",
        a="core 1",
        b="core 1",
        between="metal",
        stock="",
        at="",
        scale="tool",
        note="",
    )
    made = feature_form.read(shop.record, job, values)
    assert isinstance(made, Feature)
    jobs.add_feature(shop.record, job, made)
    task = next(t for t in shop.bench("stick 1").tasks if t.feature.balloon == "P9")
    assert task.sizes.target == pytest.approx(40.0)  # never contracted


def test_a_correction_found_on_castings_stays_when_the_drawing_changes(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    tool = find.subject(shop.record, job, "box 1").tool
    assert tool is not None
    root = feature(shop, "F3")
    on = next(f for f in shop.record.tool_features(tool.of_id) if f.feature_id == root.id)
    step = ChainStep(ord=9, kind="correction", offset_mm=0.57, u=0.05, source="S1: size F3")
    steps = (*(replace(s, id=b"", tool_feature_id=b"") for s in on.steps), step)
    shop.record.add(replace(on, id=shop.record.new_id(), replaces_id=on.id, steps=steps))
    before = next(t.sizes.target for t in shop.bench("box 1").tasks if t.feature.balloon == "F3")
    jobs.revise(shop.record, job, "B", [replace(root, nominal=212.0, lower=211.2, upper=212.8)])
    after = next(t.sizes.target for t in shop.bench("box 1").tasks if t.feature.balloon == "F3")
    assert after - before == pytest.approx(2.0 * 1.01)
    new = feature(shop, "F3")
    now = next(f for f in shop.record.tool_features(tool.of_id) if f.feature_id == new.id)
    assert [s.offset_mm for s in now.steps if s.kind == "correction"] == [0.57]
    assert chain.forward(212.0, now.steps).value == pytest.approx(212.0 * 1.01 + 0.57)


def typed(shop: SmallShop, **values: str) -> Feature | str:
    shown_first = {key: first for key, _, first in feature_form.FIELDS}
    fields = {"balloon": "N1", "nominal": "40", "axis": "x"} | values
    return feature_form.read(shop.record, find.job(shop.record, None), shown_first | fields, "ISO 2768-1 m")


def test_what_lies_between_two_ends_on_one_core_is_asked_and_never_taken_for_metal(shop: SmallShop) -> None:
    number = shop.record.cores(find.job(shop.record, None).of_id)[0].number
    asked = typed(shop, a=f"core {number}", b=f"core {number}")
    assert asked == (
        f"Between: core {number} both ends: outside of the core, or a slot in it? Outside is space: the casting is "
        "hollow there; a slot is metal: the metal fills it."
    )
    for said, facing in (("space", (1, -1)), ("metal", (-1, 1)), ("face", (1, 1))):
        made = typed(shop, a=f"core {number}", b=f"core {number}", between=said)
        assert isinstance(made, Feature) and tuple(end.facing for end in made.ends) == facing
    wall = typed(shop, a="drag", b=f"core {number}")
    assert isinstance(wall, Feature) and tuple(end.facing for end in wall.ends) == (-1, 1)


def test_a_face_with_its_metal_on_either_side_is_asked_about_when_it_is_entered(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    first = typed(shop, a="drag", b="drag", at="10 50")
    assert isinstance(first, Feature)
    jobs.add_feature(shop.record, job, first)
    second = typed(shop, balloon="N2", a="drag", b="cope", at="50 90", nominal="40")
    assert isinstance(second, str) and second.startswith(
        "N1 says that the metal ends at drag's face at x 50 towards +x"
    )
    assert "N2 says towards -x" in second and second.endswith(".")
    assert isinstance(typed(shop, balloon="N2", a="drag", b="cope", at="50 90", between="space"), Feature)
    old = feature(shop, "N1")  # a size is never held against itself
    assert isinstance(feature_form.read(shop.record, job, shown(shop, old) | {"between": "space"}, None, old), Feature)


MORE = {"coat": "0.2 0", "draft": "1° 60", "own": "0.8 %", "where": "120 ? 5"}


def test_wash_draft_own_contraction_direction_and_spot_are_typed_and_stay(shop: SmallShop) -> None:
    job, old = find.job(shop.record, None), feature(shop, "F2")
    typed = {**shown(shop, old), **MORE}
    made = feature_form.read(shop.record, job, typed, None, old)
    assert isinstance(made, Feature), made
    assert [end.coat_mm for end in made.ends] == [0.2, 0.0] and all(end.coat_said for end in made.ends)
    assert (made.draft_deg, made.draft_h_mm, made.at_x, made.at_y, made.at_z) == (1.0, 60.0, 120.0, None, 5.0)
    assert (made.a, made.ua) == (pytest.approx(0.008), 0.0015)
    again = shown(shop, made)
    assert {key: again[key] for key in MORE} == {**MORE, "draft": "1 60"}
    kept = feature_form.read(shop.record, job, {**again, "name": "other"}, None, made)
    assert isinstance(kept, Feature) and bare(kept) == replace(bare(made), name="other")
    slanted = {**typed, "axis": "oblique", "direction": "0.6 0.8 0"}
    oblique = feature_form.read(shop.record, job, slanted, None, old)
    assert isinstance(oblique, Feature) and (oblique.dir_x, oblique.dir_y, oblique.dir_z) == (0.6, 0.8, 0.0)
    for key, text, why in (
        ("coat", "1 2 3", "Coat is one or two sizes"),
        ("draft", "1", "Draft is degrees and the height"),
        ("own", "x", "Contracts: "),
        ("direction", "1 0", "A direction is three figures"),
        ("direction", "1 0 0", "said of an oblique size"),
        ("where", "1 2", "Where is x y z"),
    ):
        said = feature_form.read(shop.record, job, {**typed, key: text}, None, old)
        assert (isinstance(said, str) and said.startswith(why)) or why in said, (key, said)  # type: ignore[operator]
