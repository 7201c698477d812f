"""Faces out of the ends of features: same ends, centres, stations, ends without a place. Worked by hand."""

from __future__ import annotations

from inspect_tui.model.work import End, Feature
from inspect_tui.shop.common.geometry.faces import between, is_named_face, part_of, reference, sizes_of

CORES = {b"1": 1, b"3": 3}


def end(which: str, part: str, facing: int, at: float | None = None, **more: float) -> End:
    core = part.removeprefix("core ").encode() if part.startswith("core") else None
    return End(which=which, core_id=core, half=None if core else part, facing=facing, coord_mm=at, **more)  # type: ignore[arg-type]


def feature(balloon: str, *ends: End, quantity: str = "length", nominal: float = 40.0, **more: object) -> Feature:
    return Feature(balloon=balloon, name=balloon, quantity=quantity, nominal=nominal, ends=ends, **more)  # type: ignore[arg-type]


def faces(made: Feature, *others: Feature) -> list[tuple[str, int]]:
    size = sizes_of([made, *others], CORES).sizes[0]
    return [(face.name, face.facing) for face in size.faces]


def test_parts_are_named_as_people_name_them() -> None:
    assert part_of(None, "cope", CORES) == "cope" and part_of(b"3", None, CORES) == "core 3"
    assert part_of(None, None, CORES) is None and part_of(b"9", None, CORES) is None


def test_the_datum_is_the_part_that_most_sizes_start_from() -> None:
    low = [feature(f"F{n}", end("A", "drag", -1, 0.0), end("B", "core 1", 1, 30.0)) for n in range(2)]
    other = feature("F9", end("A", "cope", -1, 0.0), end("B", "core 1", 1, 30.0))
    assert reference([*low, other], CORES) == "drag" and reference([other], CORES) == "cope"
    assert reference([], CORES) == "drag"


def test_ends_with_places_become_faces_at_them_low_end_first() -> None:
    metal = feature("F1", end("A", "core 1", -1, 70.0, stock_mm=3.0), end("B", "drag", 1, 100.0, coat_mm=0.2))
    assert faces(metal) == [("core 1 face x 70", -1), ("drag face x 100", 1)]
    (size,) = sizes_of([metal], CORES, as_cast=lambda f: 43.0, contraction=lambda f: 0.012).sizes
    assert (size.mm, size.contraction) == (43.0, 0.012)
    assert size.a is not None and (size.a.stock_mm, size.b.coat_mm) == (3.0, 0.2)
    turned = feature("F1", end("A", "drag", 1, 100.0), end("B", "core 1", -1, 70.0))
    assert faces(turned) == [("core 1 face x 70", -1), ("drag face x 100", 1)]


def test_a_position_ends_on_a_centre() -> None:
    place = feature("F4", end("A", "drag", -1, 0.0), end("B", "core 3", -1, 90.0), quantity="position")
    assert faces(place) == [("drag face x 0", -1), ("core 3 face x 90", 0)]
    only = feature("F4", end("B", "core 3", -1, 90.0), quantity="position")
    assert sizes_of([only], CORES).sizes[0].a is None and faces(only) == [("core 3 face x 90", 0)]
    bare = feature("F5", end("A", "drag", -1), end("B", "core 3", -1), quantity="position", nominal=90.0)
    datum = feature("F1", end("A", "drag", -1, 0.0), end("B", "drag", 1, 100.0))
    assert faces(bare, datum) == [("drag face x 0", -1), ("core 3 face x F5 B", 0)]


def test_a_position_from_another_part_than_the_datum_starts_at_no_known_place() -> None:
    bare = feature("F5", end("A", "cope", -1), end("B", "core 3", -1), quantity="position", nominal=90.0)
    datum = feature("F1", end("A", "drag", -1, 0.0), end("B", "drag", 1, 100.0))
    assert faces(bare, datum) == [("cope face x F5 A", -1), ("core 3 face x F5 B", 0)]


def test_two_bores_of_one_level_are_two() -> None:
    at = [
        feature(f, end("A", "drag", -1, 0.0), end("B", "core 3", -1, 90.0), quantity="position", axis="z", note=note)
        for f, note in (("F52", "taken at x = 90"), ("F53", "taken at x = 510"))
    ]
    assert faces(at[0])[1] == ("core 3 face z 90 st 90", 0) and faces(at[1])[1] == ("core 3 face z 90 st 510", 0)
    flat = feature("F58", end("A", "drag", -1, 0.0), end("B", "core 3", 1, 90.0), axis="z", note="taken at x = 90")
    assert faces(flat)[1] == ("core 3 face z 90", 1)
    (size,) = sizes_of([feature("F9", *flat.ends, axis="z", at_x=12.0, at_z=5.0)], CORES).sizes
    assert size.across == (("x", 12.0),)


def test_centre_to_centre_has_two_centres_but_a_step_from_the_datum_none() -> None:
    pitch = feature("F8", end("A", "core 3", -1, 90.0), end("B", "core 3", -1, 230.0))
    assert faces(pitch) == [("core 3 face x 90", 0), ("core 3 face x 230", 0)]
    step = feature("F43", end("A", "drag", -1, 0.0), end("B", "drag", -1, 23.0))
    assert faces(step) == [("drag face x 0", -1), ("drag face x 23", -1)]
    shoulder = feature("F9", end("A", "drag", 1, 230.0), end("B", "core 3", -1, 260.0))
    bore = feature("F7", end("A", "core 3", 1, 90.0), end("B", "core 3", -1, 120.0))
    assert faces(pitch, bore) == [("core 3 face x 90", -1), ("core 3 face x 230", 0)]
    assert faces(pitch, shoulder) == [("core 3 face x 90", 0), ("core 3 face x 230", 0)]


def test_ends_without_a_place_are_faces_of_their_own_size() -> None:
    bore = feature("F59", end("A", "core 1", 1), end("B", "core 1", -1), quantity="diameter")
    assert faces(bore) == [("core 1 face x F59 A", 1), ("core 1 face x F59 B", -1)]
    half = feature("F6", end("A", "core 1", 1, 30.0), end("B", "core 1", -1))
    assert faces(half) == [("core 1 face x 30", 1), ("core 1 face x F6 B", -1)]


def test_prints_and_seats_stand_at_tooling_scale() -> None:
    print_ = feature("K1", end("A", "core 1", -1, 10.0), end("B", "core 1", 1, 70.0), scale="tool")
    (size,) = sizes_of([print_], CORES).sizes
    assert [f.scale for f in size.faces] == ["tool", "tool"] and size.b.facing == 1


def test_what_is_no_distance_of_two_faces_is_told_with_the_reason() -> None:
    every = [
        feature("R", end("A", "drag", -1), end("B", "drag", 1), quantity="radius"),
        feature("W", end("A", "drag", -1), end("B", "drag", 1), quantity="angle"),
        feature("N"),
        feature("C", end("A", "core 9", -1), end("B", "drag", 1)),
    ]
    made = sizes_of(every, CORES)
    assert made.sizes == ()
    assert dict(made.without) == {
        "R": "radius is no distance of two faces",
        "W": "angle is no distance of two faces",
        "N": "nobody said which tools make its ends",
        "C": "an end names a core that is not there",
    }


def test_faces_of_a_sample_casting_are_sizes_with_one_end_and_pairs_of_them() -> None:
    low = feature("S1", end("B", "drag", -1, 0.0), nominal=0.0, nominal_known=False)
    skin = feature("S2", end("B", "drag", -1), nominal=0.0, nominal_known=False)
    core = feature("S3", end("B", "core 1", 1, coat_mm=0.3), nominal=0.0, nominal_known=False)
    wall = feature("S2-S3", end("A", "drag", -1), end("B", "core 1", 1), nominal_known=False, note="between S2 and S3.")
    lost = feature("S9", end("A", "drag", -1), end("B", "core 1", 1), nominal_known=False, note="between S2 and S8")
    sizes = {s.name: s for s in sizes_of([low, skin, core, wall, lost], CORES).sizes}
    assert [sizes[n].b.name for n in ("S1", "S2", "S3")] == ["drag face x 0", "drag face x S2", "core 1 face x S3"]
    assert sizes["S1"].a is None and sizes["S3"].b.facing == 1 and sizes["S3"].b.coat_mm == 0.3
    pair = sizes["S2-S3"]
    assert pair.a is not None and (pair.a.name, pair.b.name) == ("drag face x S2", "core 1 face x S3")
    assert sizes["S9"].a is not None and sizes["S9"].a.name == "drag face x S2"
    assert sizes["S9"].b.name == "core 1 face x S9 B"
    assert is_named_face(core) and not is_named_face(wall)
    placed = feature("S3", end("B", "core 1", 1, 21.0), nominal=21.0)
    (found,) = [s for s in sizes_of([skin, placed, wall], CORES).sizes if s.name == "S2-S3"]
    assert found.b.name == "core 1 face x 21"
    known = feature("F1", end("A", "drag", -1), end("B", "core 1", 1), note="between S2 and S3")
    assert between(known) is None and between(wall) == ("S2", "S3") and between(low) is None
