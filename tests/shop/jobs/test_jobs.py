"""Jobs: adding, finding, and issuing a new drawing revision without touching what was judged before."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.model.first_article import ReportSnapshot
from inspect_tui.model.work import Feature, Tool
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Task
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import feature_form, jobfile, jobs
from tests.conftest import JOB, SmallShop


def test_a_new_revision_keeps_old_readings_and_verdicts_on_the_old_one(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    job = find.job(shop.record, None)
    old = {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}
    changed = replace(old["F1"], nominal=63.0, lower=62.2, upper=63.8, raw_lower=59.2, raw_upper=60.8)
    jobs.revise(shop.record, job, "B", [changed])
    fresh = shop.bench()
    assert fresh.revision.rev == "B"
    fresh.goto("F1")
    assert fresh.task and fresh.task.state == "to measure"
    assert fresh.task.sizes.target == pytest.approx(60.0 * 1.01)
    before = shop.record.readings(tool_of_id=fresh.subject.key)[0]
    assert before.reading.feature_id == old["F1"].id
    assert shop.record.feature(old["F1"].id).nominal == 62.0
    new = {f.balloon: f for f in shop.record.features(fresh.revision.id)}
    assert new["F1"].same_as_id == old["F1"].id and new["F2"].same_as_id == old["F2"].id
    assert shop.record.verify().ok


def test_a_revision_that_is_there_already_is_refused(shop: SmallShop) -> None:
    with pytest.raises(JobFileError, match="already"):
        jobs.revise(shop.record, find.job(shop.record, None), "a", [])


def test_a_feature_that_is_not_on_the_drawing_cannot_be_changed(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    feature = shop.record.features(find.latest_revision(shop.record, job).id)[0]
    with pytest.raises(JobFileError, match="F77 is not on revision A"):
        jobs.revise(shop.record, job, "B", [replace(feature, balloon="F77")])
    assert find.latest_revision(shop.record, job).rev == "A"


def drawn(shop: SmallShop) -> dict[str, Feature]:
    """The features of the newest edition by balloon."""
    job = find.job(shop.record, None)
    return {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}


def rows_written(shop: SmallShop) -> int:
    return sum(last for _, last in shop.record.frontier().items())


def read(shop: SmallShop, **readings: str) -> None:
    bench = shop.bench()
    for balloon, typed in readings.items():
        bench.goto(balloon)
        bench.take(typed)
        bench.keep_pending(answered=True)


def task(shop: SmallShop, balloon: str) -> Task:
    return next(t for t in shop.bench().tasks if t.feature.balloon == balloon)


def test_what_did_not_change_keeps_state_readings_and_what_is_expected_of_it(shop: SmallShop) -> None:
    read(shop, F2="40.45 40.46", F3="212.1")
    before, job = {b: task(shop, b) for b in ("F2", "F3")}, find.job(shop.record, None)
    jobs.revise(shop.record, job, "B", [replace(drawn(shop)["F3"], nominal=212.0, lower=211.2, upper=212.8)])
    jobs.revise(shop.record, job, "C", [])
    after = task(shop, "F2")
    assert (after.state, after.n, after.mean, after.s) == tuple(
        getattr(before["F2"], name) for name in ("state", "n", "mean", "s")
    )
    assert after.sizes.target == before["F2"].sizes.target and after.n == 2
    assert [r.reading.value for r in shop.bench().readings_of(after)] == [40.46, 40.45]
    assert (task(shop, "F3").state, task(shop, "F3").n) == ("to measure", 0)
    assert shop.bench().readings_of(task(shop, "F3")) == []


def test_a_typing_error_is_put_right_under_the_same_letter_and_readings_are_judged_by_it(shop: SmallShop) -> None:
    read(shop, F3="214.12", F2="40.45")
    assert task(shop, "F3").state == "does not conform"
    job, f2 = find.job(shop.record, None), task(shop, "F2")
    right = replace(drawn(shop)["F3"], nominal=212.0, lower=211.2, upper=212.8)
    made = jobs.correct(shop.record, job, [right], " 212 read as 210 ", by=shop.ab)
    revisions = shop.record.revisions(job.of_id)
    assert [r.rev for r in revisions] == ["A", "A"]
    assert (made.corrects_id, made.why) == (revisions[0].id, "212 read as 210")
    f3 = task(shop, "F3")
    assert (f3.state, f3.n, f3.sizes.target) == ("conforms", 1, pytest.approx(212.0 * 1.01))
    assert (task(shop, "F2").state, task(shop, "F2").n, task(shop, "F2").sizes.target) == (
        f2.state,
        f2.n,
        f2.sizes.target,
    )
    jobs.revise(shop.record, job, "B", [])  # and it goes on into the next revision
    assert (task(shop, "F3").state, task(shop, "F3").n) == ("conforms", 1)
    new = shop.record.revisions(job.of_id)[-1]
    assert (new.corrects_id, new.why) == (None, None)
    assert shop.record.verify().ok


@pytest.mark.parametrize(
    ("changes", "why", "sentence"),
    [({"nominal": 63.0}, "  ", "what was typed wrong"), ({}, "no reason", "Nothing is another")],
)
def test_what_is_no_correction_is_refused_and_nothing_is_written(
    shop: SmallShop, changes: dict[str, float], why: str, sentence: str
) -> None:
    before = rows_written(shop)
    with pytest.raises(JobFileError, match=sentence):
        jobs.correct(shop.record, find.job(shop.record, None), [replace(drawn(shop)["F1"], **changes)], why)
    assert rows_written(shop) == before


def test_a_change_is_asked_about_once_it_was_read_and_not_before(shop: SmallShop) -> None:
    job, old = find.job(shop.record, None), drawn(shop)["F2"]
    before = rows_written(shop)
    assert jobs.change(shop.record, job, replace(old), old, "", "") is None
    assert jobs.change(shop.record, job, replace(old), old, "B", "a reason") is None
    assert rows_written(shop) == before
    made = jobs.change(shop.record, job, replace(old, nominal=41.0), old, "", "")
    assert made is not None and made.rev == "A" and made.why
    read(shop, F2="41.4")
    old = drawn(shop)["F2"]
    before = rows_written(shop)
    with pytest.raises(JobFileError, match=r"F2 was read .* such as B.*say why"):
        jobs.change(shop.record, job, replace(old, nominal=42.0), old, " ", "")
    assert rows_written(shop) == before
    assert jobs.change(shop.record, job, replace(old, nominal=42.0), old, "", "42 read as 41").rev == "A"  # type: ignore[union-attr]
    old = drawn(shop)["F2"]
    made = jobs.change(shop.record, job, replace(old, nominal=43.0), old, "B", "a wish of the customer")
    assert made is not None and (made.rev, made.why, made.corrects_id) == ("B", "a wish of the customer", None)


def test_a_paper_that_was_given_out_is_asked_about_too(shop: SmallShop) -> None:
    job, f4 = find.job(shop.record, None), drawn(shop)["F4"]
    assert not jobs.was_read(shop.record, job, f4)
    shop.record.add(
        ReportSnapshot(
            paper="first_article",
            job_of_id=job.of_id,
            frontier="{}",
            rules="proof95",
            program="1",
            tables_sha256="0" * 64,
            output_sha256="0" * 64,
            output="x",
        )
    )
    assert jobs.was_read(shop.record, job, f4)


def test_a_size_on_a_tool_is_carried_over_as_it_was_and_laid_out_anew_where_it_changed(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    tool = find.subject(shop.record, job, "stick 1").tool
    assert tool is not None
    on = {f.id: f for f in drawn(shop).values()}
    for size in shop.record.tool_features(tool.of_id):
        if on[size.feature_id].balloon in ("F2", "F3", "P1"):
            steps = tuple(replace(step, id=b"", tool_feature_id=b"", source="by hand") for step in size.steps)
            shop.record.revise(size, steps=steps, lower=1.0, upper=2.0, band_source="agreed")
    changed = [
        replace(drawn(shop)["F2"], upper=40.9),
        replace(drawn(shop)["F3"], nominal=212.0, lower=211.2, upper=212.8),
    ]
    jobs.revise(shop.record, job, "B", changed)
    now = {t.feature.balloon: t.sizes.tool_feature for t in shop.bench().tasks}
    assert now["P1"] and now["F2"] and now["F3"]
    assert (now["P1"].lower, now["P1"].upper, now["P1"].band_source) == (1.0, 2.0, "agreed")
    assert {step.source for step in now["F2"].steps} == {"by hand"} and now["F2"].upper is None
    assert "by hand" not in {step.source for step in now["F3"].steps} and now["F3"].upper is None


def test_a_size_that_another_tool_makes_from_now_on_goes_there(shop: SmallShop) -> None:
    job, f4 = find.job(shop.record, None), drawn(shop)["F4"]
    core = shop.record.cores(job.of_id)[0]
    ends = tuple(replace(end, half=None, core_id=core.id) for end in f4.ends)
    jobs.correct(shop.record, job, [replace(f4, ends=ends)], "made by the core")
    assert "F4" in [t.feature.balloon for t in shop.bench().tasks]
    assert "F4" not in [t.feature.balloon for t in shop.bench("drag pattern").tasks]


def test_a_changed_size_does_not_go_to_a_tool_on_which_it_was_not_laid_out(shop: SmallShop) -> None:
    """A trial assembly, say, on which anything can be measured, has one gap laid out and nothing else."""
    record, job = shop.record, find.job(shop.record, None)
    record.add(Tool(job_of_id=job.of_id, kind="other", label="trial assembly"))
    f4 = drawn(shop)["F4"]
    jobs.correct(record, job, [replace(f4, nominal=(f4.nominal or 0) + 1.0)], "typed wrong")
    assert not shop.bench("trial assembly").tasks
    assert "F4" in [t.feature.balloon for t in shop.bench("drag pattern").tasks]


def test_a_size_whose_ends_are_said_later_goes_to_the_tools_that_make_them(shop: SmallShop) -> None:
    job, f4 = find.job(shop.record, None), drawn(shop)["F4"]
    jobs.correct(shop.record, job, [replace(f4, ends=())], "not known yet what makes it")
    assert "F4" not in [t.feature.balloon for t in shop.bench("drag pattern").tasks]
    jobs.correct(shop.record, job, [replace(drawn(shop)["F4"], ends=f4.ends)], "now it is")
    assert "F4" in [t.feature.balloon for t in shop.bench("drag pattern").tasks]


def test_a_new_tool_gets_every_feature_it_makes(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    jobs.add_tool(shop.record, job, "box 1b", "core_box", 1, "tooling resin")
    assert [t.feature.balloon for t in shop.bench("box 1b").tasks] == ["F3", "F1", "F2", "P1"]


def test_a_new_feature_joins_the_tools_that_make_it(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    values = dict(
        balloon="F9",
        name="slot",
        quantity="width",
        axis="y",
        nominal="20",
        limits="±0.3",
        a="core 1",
        b="core 1",
        between="space",
        stock="0 0",
    )
    made = feature_form.read(shop.record, job, values)
    assert not isinstance(made, str)
    assert "stick 1: stick 20.20" in feature_form.follows(job, made, shop.record.tools(job.of_id))
    jobs.add_feature(shop.record, job, made)
    assert "F9" in [t.feature.balloon for t in shop.bench().tasks]


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("balloon", "", "balloon"),
        ("nominal", "abc", "not a size"),
        ("limits", "wide", "Limits"),
        ("a", "core 9", "no core 9"),
        ("axis", "w", "axis"),
        ("between", "air", "one of metal, space, face"),
        ("quantity", "girth", "Measures: 'girth'"),
    ],
)
def test_a_feature_form_says_what_is_wrong(shop: SmallShop, key: str, value: str, said: str) -> None:
    values = dict(
        balloon="F9",
        name="slot",
        quantity="width",
        axis="y",
        nominal="20",
        limits="±0.3",
        a="core 1",
        b="core 1",
        between="space",
        stock="0 0",
    )
    made = feature_form.read(shop.record, find.job(shop.record, None), {**values, key: value})
    assert isinstance(made, str) and said in made


def test_a_job_without_contraction_takes_the_handbooks_with_its_source() -> None:
    plan = jobfile.read(JOB.replace('contraction = "1.0 %"\n', ""))
    assert plan.job.a_x > 0.005 and plan.job.ua_x > 0
    assert plan.remarks and plan.job.a_source in plan.remarks[0]
    # EN 12890, grey iron: 1.0 % of the pattern (recalled); the printed values run from 0.5 to 1.3 % of it
    assert plan.job.a_x == pytest.approx(0.01 / 0.99) and plan.job.ua_x > (0.013 / 0.987 - 0.005 / 0.995) / 12**0.5
    assert "printed values may apply, 0.50 to 1.32 % of the casting" in plan.remarks[0]


def test_a_job_that_rests_on_a_weak_source_says_so_in_words(shop: SmallShop) -> None:
    made = jobs.new_job(shop.record, "W-1", "a job", "tin bronze", "restrained", None, "D-1", "A")
    assert made.a_source == (
        "1.2 %, tin bronze, restrained: Forum copy of a Chinese foundry table of linear contraction (found); "
        "weak: from a page of the web"
    )
    assert made.a_x == pytest.approx(0.012) and made.ua_x > 0.003  # 0.8 to 2.0 % are printed too


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('number = "SV-12"\n', "", "needs a number"),
        ("[[feature]]", "[[features]]", "does not know 'features'"),
        ('balloon = "F2"', 'balloon = "F1"', "two of feature"),
        ('a = "core 1"', 'a = "core 7"', "core 7"),
        ('kind = "core_stick"', 'kind = "stick"', "kind is one of"),
        ("nominal = 62.0", 'nominal = "about 62"', "nominal"),
        ('limits = "±0.8"', 'limits = "63..61"', "F1"),
        ('made_from = "stick 1"', 'made_from = "stick 4"', "stick 4"),
        ("[job]", "[job", "not TOML"),
        ('contraction = "1.0 %"', 'contraction = "10"', "1000 %"),
        ("stock = [1.5, 1.5]", "stock = [1.5]", "two values"),
    ],
)
def test_a_job_file_says_where_it_is_wrong(old: str, new: str, said: str) -> None:
    with pytest.raises(JobFileError, match="(?s).*" + said.replace("(", "\\(")):
        jobfile.read(JOB.replace(old, new, 1) if old != "[[feature]]" else JOB.replace(old, new))


def test_names_are_found_by_their_words_and_misses_name_the_nearest(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    assert find.subject(shop.record, job, "DRAG").label == "drag pattern"
    assert find.instrument(shop.record, "caliper 1").label == "caliper 1"
    with pytest.raises(NotFound, match="fits several"):
        find.subject(shop.record, job, "1")
    with pytest.raises(NotFound, match="stick 1"):
        find.subject(shop.record, job, "stik 1")


def test_balloons_are_found_with_or_without_leading_zeros(shop: SmallShop) -> None:
    features = shop.record.features(find.latest_revision(shop.record, find.job(shop.record, None)).id)
    assert find.feature(features, "f01").balloon == "F1"
    with pytest.raises(NotFound, match="F99 is not on revision A"):
        find.feature(features, "F99", "A")


def test_a_job_may_judge_its_tools_by_an_en_12890_class(shop: SmallShop) -> None:
    text = JOB.replace('contraction = "1.0 %"', 'contraction = "1.0 %"\ntool_band = "H2"')
    plan = jobfile.read(text.replace("SV-12", "SV-13"))
    shop.record.add_all(plan.rows())
    tasks = Bench(shop.record, plan.job, find.subject(shop.record, plan.job, "stick 1")).tasks
    band = next(t for t in tasks if t.feature.balloon == "F1").sizes.band
    assert "EN 12890 H2" in band.source and "LOW CONFIDENCE" in band.source
    with pytest.raises(JobFileError, match="EN 12890 class"):
        jobfile.read(JOB.replace('contraction = "1.0 %"', 'contraction = "1.0 %"\ntool_band = "K1"'))
