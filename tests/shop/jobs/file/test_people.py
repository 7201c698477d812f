"""People, gauges and certificates of a job file."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.shop.jobs.file import people
from tests.worlds.job_files import HEAD, SIZE, plan

GAUGE = '[[gauge]]\nlabel = "caliper 1"\ncalibrated = 2026-01-10\ndue = 2027-01-10\nU = 0.04\n'


def test_a_gauge_has_its_certificates_in_its_own_unit() -> None:
    made = plan(
        HEAD + SIZE + '[[person]]\ninitials = "KT"\nrole = "Lead"\n'
        '[[gauge]]\nlabel = "caliper 2"\nkind = "caliper"\nunit = "inch"\nresolution = "1/64 in"\nrange = [0, 12]\n'
        'U = 0.001\ncalibrated = "10.1.2026"\nrule = "1.0 %"\n'
        '[[certificate]]\ngauge = "Caliper 2"\ncalibrated = 2025-01-10\nU = "0.02 mm"\nresult = "adjusted"\n'
    )
    (gauge,) = made.gauges
    assert (gauge.unit, gauge.resolution, gauge.range_lo, gauge.range_hi, gauge.rule_scale) == (
        "in",
        0.015625,
        0,
        12,
        0.01,
    )
    newest, older = made.certificates
    assert (newest.done_on, newest.u95_mm, newest.k) == ("2026-01-10", pytest.approx(0.0254), 2.0)
    assert (older.done_on, older.u95_mm, older.result) == ("2025-01-10", 0.02, "adjusted")
    assert {said.instrument_of_id for said in made.certificates} == {gauge.of_id}
    shown, more = people.rows(made.gauges, made.certificates)
    assert shown[0]["U"] == "0.0254 mm" and more[0]["U"] == "0.02 mm"
    assert [(person.initials, person.role, person.active) for person in made.people] == [("KT", "lead", True)]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("U = 0.04\n", "", "gauge 'caliper 1': a certificate says U too"),
        ("due = 2027-01-10", "due = 2025-01-10", "due: 2025-01-10 is before the day of the certificate"),
        ('label = "caliper 1"', 'unit = "kg"', "it is one of mm, in, deg, C"),
        ('label = "caliper 1"', "", "[[gauge]] needs a label"),
        ("U = 0.04", "U = -1", "gauge 'caliper 1' U: -1 is below 0"),
        ("U = 0.04", 'U = 0.04\nkind = "calliper"', "kind"),
        ("[[gauge]]", '[[person]]\nname = "x"\n[[gauge]]', "[[person]] needs initials"),
        ("[[gauge]]", '[[person]]\ninitials = "toolongname"\n[[gauge]]', "it has 11 letters: at most 8 fit"),
        (
            "U = 0.04",
            'U = 0.04\n[[certificate]]\ngauge = "c 9"\nU = 1\ncalibrated = 2025-01-01',
            "there is no [[gauge]] 'c 9'",
        ),
        ("[[gauge]]", '[[gauge]]\nlabel = "CALIPER 1"\n[[gauge]]', "there are two of gauge 'caliper 1'"),
    ],
)
def test_what_is_wrong_is_told(old: str, new: str, said: str) -> None:
    with pytest.raises(JobFileError) as told:
        plan(HEAD + SIZE + GAUGE.replace(old, new, 1))
    assert said in str(told.value)
