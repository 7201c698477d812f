"""A changed file is shown as what it changes, then written whole; a file that says what is there changes nothing."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.model.work import ChainStep, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.lineage import editions
from inspect_tui.shop.jobs import jobfile, jobs
from inspect_tui.shop.jobs.file import change, of_record, write
from inspect_tui.shop.jobs.file.copy import copied
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit import order as kit_order
from inspect_tui.shop.kit.facts import KitFacts
from tests.conftest import TODAY, SmallShop
from tests.worlds.job_files import any_job, example, out_of, picture, plan, stored

WHOLE = example().replace("SV-12", "X-1")


def whole(shop: SmallShop) -> Job:
    return stored(shop.record, plan(WHOLE))


def changed(shop: SmallShop, job: Job, text: str, why: str = "misread", rev: str | None = None) -> list[str]:
    """The text taken as the job's file; the sentences of what it changed."""
    proposed = change.propose(shop.record, job, plan(text), rev)
    change.write_changes(shop.record, proposed, why, shop.ab.id)
    assert shop.record.verify().ok
    assert change.propose(shop.record, shop.record.job(job.number), plan(text)).changes == ()  # now it is as it says
    return [told.sentence for told in proposed.changes]


def read(shop: SmallShop, job: Job, tool: str, balloon: str) -> None:
    """One reading of a size on a tool."""
    feature = next(f for f in of_record.plan_of(shop.record, job).features if f.balloon == balloon)
    known = find.subject(shop.record, job, tool).tool
    assert known is not None
    on = next(on for on in shop.record.tool_features(known.of_id) if on.feature_id == feature.id)
    session = shop.record.add(Session(job_of_id=job.of_id))
    setup = shop.record.add(Setup(session_id=session.id, person_id=shop.ab.id, instrument_id=shop.caliper.id))
    shop.record.append_reading(
        Reading(
            setup_id=setup.id,
            feature_id=feature.id,
            tool_id=on.tool_id,
            tool_feature_id=on.id,
            value=62.6,
            typed="62.6",
        )
    )


@pytest.mark.parametrize("seed", range(4))
def test_a_job_changed_to_itself_is_not_changed(seed: int, tmp_path: Path) -> None:
    made = plan(any_job(seed, sizes=6, seats=4))
    with Record.open(tmp_path / "r.db", create=True) as record:
        job = stored(record, made)
        counts = record.counts()
        for same in (plan(any_job(seed, sizes=6, seats=4)), plan(write.toml(out_of(record, job)))):
            proposed = change.propose(record, job, same)
            assert (proposed.changes, proposed.questions) == ((), ())
            change.write_changes(record, proposed)
        assert record.counts() == counts


def test_from_any_job_to_any_other_the_file_says_it_all(tmp_path: Path) -> None:
    """The record is what the file says after the change, whatever it was before; people and castings stay."""
    with Record.open(tmp_path / "r.db", create=True) as record:
        stored(record, plan(any_job(1, sizes=8)))
        for seed in (2, 3, 1):
            new = plan(any_job(seed, sizes=8).replace(f'number = "R-{seed}"', 'number = "R-1"'))
            proposed = change.propose(record, record.job("R-1"), new, f"rev {seed}")
            change.write_changes(record, proposed, "another")
            now, wanted = out_of(record, record.job("R-1"), False), write.rows(new, False)
            people = {person["initials"]: person for person in now["person"]}
            assert all(people[person["initials"]] == person for person in wanted.get("person", []))
            steps = {gauge["label"]: gauge["resolution"] for gauge in now["gauge"]}
            assert all(steps[gauge["label"]] == gauge["resolution"] for gauge in wanted.get("gauge", []))
            for shared in ("person", "gauge", "certificate", "sampling", "drawing"):
                now.pop(shared, None), wanted.pop(shared, None)
            assert change.compare(now, wanted) == ()
        assert record.verify().ok


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("volume_dm3 = 2.4", "volume_dm3 = 2.5", ["core 1 changed: volume_dm3 2.4 → 2.5"]),
        (
            'vents = "one, through the print"',
            'caution = "sharp"',
            ["core 1 changed: vents one, through the print → nothing, caution nothing → sharp"],
        ),
        ("weight_kg = 6.5", "weight_kg = 7", ["tool box 1 changed: weight_kg 6.5 → 7"]),
        ("weight_kg = 6.5\n", "", ["tool box 1 changed: weight_kg 6.5 → nothing"]),
        ("nominal = 62.0", "nominal = 63.0", ["feature F1 changed: nominal 62 → 63"]),
        (
            "size = 30",
            "size = 31",
            ["feature K2-1p changed: nominal 30 → 31", "feature K2-1s changed: nominal 30.3 → 31.3"],
        ),
        ('mark = "green"', 'mark = "red"', ["seat K2-1 changed: mark green → red"]),
        ('formula = "F1 * F4"', 'formula = "F1 * 2 * F4"', ["passage A1 changed: formula F1 * F4 → F1 * 2 * F4"]),
        ("limits = [6, 9]", "limits = [6, 9.5]", ["loop W1 changed: limits [6, 9] → [6, 9.5]"]),
        (
            "at = { x = 220, y = 30 }",
            "at = { x = 221, y = 30 }",
            ["target A2 changed: at { x 220, y 30 } → { x 221, y 30 }"],
        ),
        ("z = [0, 90]", "z = [0, 95]", ["mould changed: z [0, 90] → [0, 95]"]),
        (
            "[180, 250, 52]",
            "[180, 250, 53]",
            ["parting changed: steps [[-10, 180, 40], [180, 250, 52]] → [[-10, 180, 40], [180, 250, 53]]"],
        ),
        (
            'x = "0.9 %"',
            'x = "0.8 %"',
            ["job changed: contraction { x 0.9 %, y 1 %, z 1 % } → { x 0.8 %, y 1 %, z 1 % }"],
        ),
        ('castings = ["S0-1", "S0-2"]', 'castings = ["S0-1", "S0-2", "S0-3"]', ["casting S0-3 added"]),
    ],
)
def test_each_change_is_told_and_written(shop: SmallShop, old: str, new: str, told: list[str]) -> None:
    assert WHOLE.count(old) >= 1
    assert changed(shop, whole(shop), WHOLE.replace(old, new, 1)) == told


def test_whole_rows_are_added_and_withdrawn(shop: SmallShop) -> None:
    job = whole(shop)
    target = '[[target]]\nlabel = "A2"'
    text = WHOLE.replace(target, '[[target]]\nlabel = "A3"').replace(
        "[[seat]]                         # a print", "[[seat]] #"
    )
    loop = text[text.index("[[loop]]") : text.index("[[passage]]")]
    text = text.replace(loop, "") + '\n[[core]]\nnumber = 3\n[[tool]]\nlabel = "box 3"\nkind = "core_box"\ncore = 3\n'
    text += '[[feature]]\nballoon = "F9"\nnominal = 20\na = "core 3"\nb = "core 3"\nbetween = "space"\n'
    assert changed(shop, job, text) == [
        "core 3 added",
        "tool box 3 added",
        "target A3 added",
        "target A2 withdrawn",
        "feature F9 added",
        "loop W1 withdrawn",
    ]
    box = next(t for t in shop.record.tools(job.of_id) if t.label == "box 3")
    assert len(shop.record.tool_features(box.of_id)) == 1
    back = changed(shop, job, WHOLE)
    assert "core 3 withdrawn" in back and "tool box 3 withdrawn" in back and "loop W1 added" in back


def test_corrections_keep_the_letter_and_say_why_and_a_revision_does_not_need_to(shop: SmallShop) -> None:
    job = whole(shop)
    text = WHOLE.replace("nominal = 62.0", "nominal = 63.0")
    proposed = change.propose(shop.record, job, plan(text))
    assert proposed.needs_why and proposed.rev is None  # the drawing was issued
    before = shop.record.counts()
    with pytest.raises(JobFileError, match="or was it typed wrong"):
        change.write_changes(shop.record, proposed)
    assert shop.record.counts() == before
    changed(shop, job, text, "63 read as 62")
    changed(shop, job, text.replace("nominal = 46", "nominal = 47").replace('rev = "A"', 'rev = "B"'), "")
    made = editions(shop.record, job, shop.record.job_features(job.of_id))
    assert [(e.revision.rev, e.correction, e.changed, e.revision.why) for e in made] == [
        ("A", False, (), None),
        ("A", True, ("F1",), "63 read as 62"),
        ("B", False, ("F4",), None),
    ]


def test_what_was_read_counts_on_where_its_size_stays(shop: SmallShop) -> None:
    job = whole(shop)
    read(shop, job, "stick 1", "F1")
    changed(shop, job, WHOLE.replace("nominal = 46", "nominal = 47"))
    bench = Bench(shop.record, job, find.subject(shop.record, job, "stick 1"), shop.ab, shop.caliper, today=TODAY)
    width = next(task for task in bench.tasks if task.feature.balloon == "F1")
    assert [logged.reading.value for logged in bench.readings_of(width)] == [62.6]
    gone = WHOLE[: WHOLE.index('[[feature]]\nballoon = "F1"')] + WHOLE[WHOLE.index('[[feature]]\nballoon = "F2"') :]
    gone = gone.replace('formula = "F1 * F4"', 'formula = "F2 * F4"').replace('"F1", "F2"]', '"F2"]')
    proposed = change.propose(shop.record, job, plan(gone))
    assert proposed.questions == ("F1 was read: it is withdrawn from the drawing, its readings stay",)


def test_a_new_contraction_gives_the_tools_new_sizes_and_keeps_what_was_corrected_on_them(shop: SmallShop) -> None:
    job = whole(shop)
    stick = find.subject(shop.record, job, "stick 1").tool
    assert stick is not None
    (first, *_) = shop.record.tool_features(stick.of_id)
    opened = ChainStep(ord=len(first.steps) + 1, kind="correction", offset_mm=0.3, source="castings")
    steps = tuple(replace(step, id=b"", tool_feature_id=b"") for step in first.steps)
    shop.record.add(replace(first, id=b"", replaces_id=first.id, steps=(*steps, opened)))
    changed(shop, job, WHOLE.replace('y = "1.0 %"', 'y = "2.0 %"', 1))
    width = next(
        on for on in shop.record.tool_features(stick.of_id) if shop.record.feature(on.feature_id).balloon == "F1"
    )
    assert [step.scale for step in width.steps if step.kind == "contraction"] == [1.02]
    assert [step.offset_mm for step in width.steps if step.kind == "correction"] == [0.3]
    assert len({on.feature_id for on in shop.record.tool_features(stick.of_id)}) == len(
        shop.record.tool_features(stick.of_id)
    )


def test_pictures_are_added_by_their_content_and_never_taken_away(shop: SmallShop, tmp_path: Path) -> None:
    job = whole(shop)
    picture(tmp_path)
    text = WHOLE + '\n[[picture]]\nfile = "box.png"\non = "box 1"\n'
    for told in (["picture box.png of box 1 added"], []):
        proposed = change.propose(shop.record, job, jobfile.read(text, folder=tmp_path))
        assert [said.sentence for said in proposed.changes] == told
        change.write_changes(shop.record, proposed, "", shop.ab.id)
    assert change.propose(shop.record, job, plan(WHOLE)).changes == ()
    (shown,) = of_record.plan_of(shop.record, job).pictures
    assert shown.on == "box 1"


def test_numbers_on_a_picture_come_and_change_by_the_file(shop: SmallShop, tmp_path: Path) -> None:
    job = whole(shop)
    picture(tmp_path)
    text = WHOLE + '\n[[picture]]\nfile = "box.png"\non = "box 1"\n'
    for numbers, told in (
        ("F1 20 30", ["picture box.png of box 1 added"]),
        ("f2 40,5 10 %; F1 20 30", ["picture box.png of box 1 changed: balloons F1 20 30 → F2 40.5 10; F1 20 30"]),
        ("F2 40.5 10; F1 20 30", []),
    ):
        proposed = change.propose(shop.record, job, jobfile.read(f'{text}balloons = "{numbers}"', folder=tmp_path))
        assert [said.sentence for said in proposed.changes] == told
        change.write_changes(shop.record, proposed, "", shop.ab.id)
    assert change.propose(shop.record, job, jobfile.read(text, folder=tmp_path)).changes == ()  # none are taken away
    (row,) = out_of(shop.record, job)["picture"]
    assert row["balloons"] == "F2 40.5 10; F1 20 30"
    copy = copied(out_of(shop.record, job), "X-2", {"f2": "F22"})
    assert copy["picture"][0]["balloons"] == "F22 40.5 10; F1 20 30"
    with pytest.raises(JobFileError, match="there is no size and no geometrical tolerance F77"):
        jobfile.read(text + 'balloons = "F77 1 2"', folder=tmp_path)
    jobs.renamed(shop.record, job, "F2", "F12", "as on the drawing", shop.ab)
    (shown,) = of_record.plan_of(shop.record, job).pictures
    assert shown.balloons == "F12 40.5 10; F1 20 30" and shop.record.verify().ok


def test_a_sampling_that_is_there_stays_as_it_was_said(shop: SmallShop) -> None:
    job = whole(shop)
    new = plan(WHOLE.replace("poured = 2026-03-20", "poured = 2026-03-21"))
    proposed = change.propose(shop.record, job, new)
    assert proposed.changes == () and len(change.kept(proposed.old, new)) == 1
    assert change.kept(proposed.old, plan(WHOLE)) == ()


def test_a_file_of_another_job_or_of_a_revision_that_is_there_is_refused(shop: SmallShop) -> None:
    job = whole(shop)
    with pytest.raises(JobFileError, match="The file is of job X-2, not of X-1"):
        change.propose(shop.record, job, plan(WHOLE.replace("X-1", "X-2")))
    with pytest.raises(JobFileError, match="Revision a is there already"):
        change.propose(shop.record, job, plan(WHOLE), "a")


def test_when_one_row_cannot_be_written_nothing_is(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    job = whole(shop)
    proposed = change.propose(shop.record, job, plan(WHOLE.replace('mark = "green"', 'mark = "red"')))
    monkeypatch.setattr(change.add, "picture_rows", lambda *_: [object()])
    before = shop.record.counts()
    with pytest.raises(Exception, match="not a thing that is recorded"):
        change.write_changes(shop.record, proposed, "", shop.ab.id)
    assert shop.record.counts() == before


def test_what_was_withdrawn_comes_back_and_is_not_there_twice(shop: SmallShop) -> None:
    job = whole(shop)
    record = shop.record
    box = WHOLE[WHOLE.index('[[tool]]\nlabel = "box 2"') : WHOLE.index('[[tool]]\nlabel = "drag pattern"')]
    gone = WHOLE.replace(box, "")
    tool = next(t for t in record.tools(job.of_id) if t.label == "box 2")
    sizes = [on.of_id for on in record.tool_features(tool.of_id)]
    assert changed(shop, job, gone) == ["tool box 2 withdrawn"] and sizes
    assert [state.state for state in record.tool_states()[tool.of_id]] == ["retired"]
    assert changed(shop, job, WHOLE) == ["tool box 2 added"]
    assert [t.label for t in record.tools(job.of_id)].count("box 2") == 1
    assert [on.of_id for on in record.tool_features(tool.of_id)] == sizes
    assert [state.state for state in record.tool_states()[tool.of_id]] == ["retired", "revived"]


def test_a_size_is_taken_off_a_tool_and_put_back(shop: SmallShop) -> None:
    job = whole(shop)
    named = WHOLE.replace('name = "passage height"\n', 'name = "passage height"\ntools = ["box 1"]\n')
    stick = find.subject(shop.record, job, "stick 1").tool
    assert stick is not None
    before = [on.of_id for on in shop.record.tool_features(stick.of_id)]
    assert changed(shop, job, named)[0].startswith("feature F4 changed: tools")
    taken = [on.of_id for on in shop.record.tool_features(stick.of_id)]
    assert len(taken) == len(before) - 1 and len(shop.record.job_tool_features(job.of_id)) >= len(taken)
    changed(shop, job, WHOLE)
    assert (
        sorted(on.of_id for on in shop.record.tool_features(stick.of_id))[: len(taken)] == sorted(taken)[: len(taken)]
    )
    assert len(shop.record.tool_features(stick.of_id)) == len(before)


def test_a_core_that_was_withdrawn_comes_back_with_its_number(shop: SmallShop) -> None:
    job = whole(shop)
    more = WHOLE + "\n[[core]]\nnumber = 9\nbody = { x = [0, 1], y = [0, 1], z = [0, 1] }\n"
    for text in (more, WHOLE, more):
        changed(shop, job, text)
    assert [core.number for core in shop.record.cores(job.of_id)] == [1, 2, 9]
    assert len(shop.record.core_bodies(job.of_id)[shop.record.cores(job.of_id)[2].of_id]) == 1


def test_a_size_that_is_not_changed_is_carried_to_the_letter_whatever_became_of_its_core(shop: SmallShop) -> None:
    job = whole(shop)
    shop.record.revise(shop.record.cores(job.of_id)[0], shop.ab.id, name="flue")
    text = WHOLE.replace("nominal = 240", "nominal = 241").replace('name = "flue passage"', 'name = "flue"')
    changed(shop, job, text.replace('name = "flue passage"', 'name = "flue"'))
    made = editions(shop.record, job, shop.record.job_features(job.of_id))
    assert made[-1].changed == ("F2",)


def test_the_place_in_the_order_that_the_file_says_holds_over_one_said_at_the_kit(shop: SmallShop) -> None:
    job = whole(shop)
    core = shop.record.cores(job.of_id)[1]
    edit.set_core_detail(shop.record, job, core, shop.ab.id, set_order=7)
    assert changed(shop, job, WHOLE.replace("set = 2\n", "set = 3\n")) == ["core 2 changed: set 7 → 3"]
    facts = KitFacts(shop.record, job)
    assert kit_order.wanted_place(facts, facts.cores[1]) == 3


def test_people_and_gauges_that_the_file_says_otherwise_are_changed_and_keep_their_readings(shop: SmallShop) -> None:
    job = whole(shop)
    rows = write.rows(of_record.plan_of(shop.record, job))
    person, gauge = rows["person"][0], rows["gauge"][0]
    person["role"], gauge["resolution"] = "lead", 0.05
    told = changed(shop, job, write.toml(rows), why="")
    assert told == [
        f"person {person['initials']} changed: role maker → lead",
        f"gauge {gauge['label']} changed: resolution 0.01 → 0.05",
    ]
    now = next(p for p in shop.record.people() if p.initials == person["initials"])
    assert now.role == "lead" and now.of_id in {p.of_id for p in shop.record.people(old=True) if p.role == "maker"}
    step = next(g for g in shop.record.instruments() if g.label == gauge["label"])
    assert step.resolution == 0.05 and step.replaces_id is not None


def test_a_certificate_of_another_day_is_added_one_of_the_same_day_is_said_to_stay(shop: SmallShop) -> None:
    job = whole(shop)
    rows = write.rows(of_record.plan_of(shop.record, job))
    gauge = next(row for row in rows["gauge"] if "calibrated" in row)
    of = next(g.of_id for g in shop.record.instruments() if g.label == gauge["label"])
    before = len(shop.record.calibrations(of))
    other = {**gauge, "U": 0.77}
    new = plan(write.toml({**rows, "gauge": [other if row is gauge else row for row in rows["gauge"]]}))
    proposed = change.propose(shop.record, job, new)
    assert proposed.changes == ()
    assert change.kept(proposed.old, new) == (
        f"the certificate of {gauge['label']} of {gauge['calibrated']} stays as it is in the record: withdraw it and "
        "enter it anew",
    )
    mixed = {**rows, "gauge": [other if row is gauge else row for row in rows["gauge"]]}
    mixed["job"] = {**rows["job"], "name": "another"}
    change.write_changes(shop.record, change.propose(shop.record, job, plan(write.toml(mixed))), "", shop.ab.id)
    assert len(shop.record.calibrations(of)) == before  # nothing comes in unsaid beside another change
    rows["certificate"] = [
        *rows.get("certificate", []),
        {"gauge": gauge["label"], "calibrated": date(2019, 1, 2), "U": 0.05},
    ]
    rows["job"] = mixed["job"]
    assert changed(shop, shop.record.job(job.number), write.toml(rows), why="") == [
        f"certificate of {gauge['label']} of 2019-01-02 added"
    ]
    assert len(shop.record.calibrations(of)) == before + 1


def test_readings_that_would_hang_on_nothing_are_asked_about(shop: SmallShop) -> None:
    job = whole(shop)
    rows = write.rows(of_record.plan_of(shop.record, job), folded=False)
    plan_ = of_record.plan_of(shop.record, job)
    on = plan_.tool_features[0]
    tool = next(t for t in plan_.tools if t.id == on.tool_id)
    feature = next(f for f in plan_.features if f.id == on.feature_id)
    others = [t.label for t in plan_.tools if t.label != tool.label]
    fewer = [
        {**row, "tools": [x for x in row.get("tools", others) if x != tool.label]}
        if row["balloon"] == feature.balloon
        else row
        for row in rows["feature"]
    ]
    only = [{**row, "tools": row["tools"]} for row in fewer if row["balloon"] == feature.balloon]
    only[0]["tools"] = [
        t.label
        for t in plan_.tools
        if t.label != tool.label and (on.feature_id, t.id) in {(x.feature_id, x.tool_id) for x in plan_.tool_features}
    ]
    fewer = [only[0] if row["balloon"] == feature.balloon else row for row in fewer]
    taken_off = plan(write.toml({**rows, "feature": fewer}))
    assert change.propose(shop.record, job, taken_off).questions == ()
    read(shop, job, tool.label, feature.balloon)
    (asked,) = change.propose(shop.record, job, taken_off).questions
    assert asked == f"{feature.balloon} was read on {tool.label}: it is taken off it, what was read there stays"
    gone = [row for row in rows["tool"] if row["label"] != tool.label]
    bare = [{key: value for key, value in row.items() if key != "tools"} for row in rows["feature"]]
    without = {**rows, "tool": [{k: v for k, v in row.items() if k != "made_from"} for row in gone], "feature": bare}
    asked_ = change.propose(
        shop.record, job, plan(write.toml({k: v for k, v in without.items() if k != "picture"}))
    ).questions
    assert f"{tool.label} has 1 reading: they stay in the record and count no longer" in asked_
