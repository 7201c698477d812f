"""`rename`: what was read and said of a thing stays its own under another name, and why stands in the list of changes."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from inspect_tui.commands.rename import KINDS
from inspect_tui.shop.changes import rename as renaming
from inspect_tui.shop.changes import things
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def rename(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("rename", *words, "--by", "AB", "--record", str(shop.record.path))


def test_a_wrong_balloon_is_put_right_with_its_readings(rename: Callable[..., Ran], shop: SmallShop, cli: Run) -> None:
    bench = shop.bench("stick 1")
    bench.goto("F3")
    bench.take("212.10")
    bench.keep_pending()
    done = rename("feature", "F3", "F33", "--why", "balloon read wrongly")
    assert done.out == "the feature F3 of job SV-12 is called F33 from now on\n"
    record = shop.record
    newest = record.revisions(record.job("SV-12").of_id)[-1]
    features = {f.balloon: f for f in record.features(newest.id)}
    assert "F3" not in features and newest.why == "balloon read wrongly"
    assert len(record.readings(feature_id=record.feature_lineage(features["F33"].id))) == 1
    rows = json.loads(cli("changes", "--json", "--record", str(shop.record.path)).out)
    assert [(row["change"], row["why"]) for row in rows] == [("corrected: F3 → F33", "balloon read wrongly")]
    again = shop.bench("stick 1")
    assert again.goto("F33") is None and next(t for t in again.tasks if t.feature.balloon == "F33").n == 1


def test_other_things_too_with_why_in_the_list_of_changes(
    rename: Callable[..., Ran], shop: SmallShop, cli: Run
) -> None:
    for kind, name, new in (("tool", "stick 1", "master 1"), ("person", "AB", "AX"), ("job", "SV-12", "SV-12a")):
        assert cli("rename", kind, name, new, "--why", "said so", "--by", "AB", "--record", str(shop.record.path))
        if kind == "person":
            break
    record = shop.record
    assert "master 1" in {tool.label for tool in record.tools(record.job("SV-12").of_id)}
    assert "AX" in {person.initials for person in record.people()}
    rows = json.loads(cli("changes", "--json", "--record", str(record.path)).out)
    assert [(row["change"], row["why"]) for row in rows] == [
        ("initials AB → AX", "said so"),
        ("label stick 1 → master 1", "said so"),
    ]


def test_what_cannot_be_is_said_and_nothing_written(rename: Callable[..., Ran], shop: SmallShop) -> None:
    before = shop.record.heads()
    for words, why in (
        (("tool", "stick 1", "BOX 1", "--why", "x"), "another tool box 1 of job SV-12 already"),
        (("tool", "stick 1", "stick 1", "--why", "x"), "called stick 1 already"),
        (("tool", "stick 1", "s", "--why", " "), "Say why"),
        (("feature", "F3", "F2", "--why", "x"), "another feature F2"),
        (("feature", "F3", "F" * 21, "--why", "x"), "1 to 20"),
        (("person", "AB", "ABABABABA", "--why", "x"), "1 to 8 letters"),
        (("core", "core 1", "core 1", "--why", "x"), "called core 1 already"),
    ):
        ran = rename(*words)
        assert ran.status == 2 and why in ran.err, (words, ran.err)
    assert shop.record.heads() == before


def test_help_names_the_kinds_that_have_another_name() -> None:
    assert set(KINDS.split(", ")) == {sort.word for sort in things.SORTS if renaming.can(sort)}
