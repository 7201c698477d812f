"""The schema of the JSON form: the shipped one is that of the classes, and it refuses what is no first article."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from inspect_tui.report.first_article import schema
from inspect_tui.report.first_article.forms import make
from tests.worlds.report_samples import plain

SCHEMA = Path(schema.__file__).with_name("first_article.schema.json")
PLAIN = plain(24, 3)


def test_the_shipped_schema_is_the_one_that_the_classes_give() -> None:
    assert (
        SCHEMA.read_text(encoding="utf-8") == schema.text()
    )  # else: python -m inspect_tui.report.first_article.schema


def test_json_is_valid_by_the_shipped_schema_with_and_without_the_annex() -> None:
    told = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(told)
    check = jsonschema.Draft202012Validator(told)
    for annex in (True, False):
        check.validate(json.loads(make(PLAIN, "json", annex=annex)))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda p: p.pop("rule"),
        lambda p: p.update(answer="fine"),
        lambda p: p.update(more=1),
        lambda p: p["features"][0].update(as_cast="12"),
        lambda p: p["features"][0]["cells"][0].update(p_conform=1.2),
        lambda p: p["counts"].append(["conforms"]),
        lambda p: p.update(format="first_article/4"),
    ],
)
def test_the_schema_refuses_what_is_not_a_first_article(spoil: Any) -> None:
    told: dict[str, Any] = json.loads(make(PLAIN, "json"))
    spoil(told)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, json.loads(SCHEMA.read_text(encoding="utf-8")))


def test_a_report_of_before_targets_were_told_is_still_right_but_half_a_target_is_not() -> None:
    told = json.loads(json.dumps(plain(6, 2)))
    for line in told["stock"]["castings"]:
        del line["targets"]
    jsonschema.validate(told, json.loads(SCHEMA.read_text(encoding="utf-8")))
    told["stock"]["castings"][0]["targets"] = [["A1"]]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, json.loads(SCHEMA.read_text(encoding="utf-8")))


def test_a_report_of_before_passages_said_what_is_assumed_is_still_right() -> None:
    told = json.loads(json.dumps(plain(6, 2)))
    for line in told["passages"]:
        for name in ("how", "u_measured", "u_assumed", "in_units"):
            del line[name]
    jsonschema.validate(told, json.loads(SCHEMA.read_text(encoding="utf-8")))
    told["passages"][0]["in_units"] = [["m3/h"]]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, json.loads(SCHEMA.read_text(encoding="utf-8")))
