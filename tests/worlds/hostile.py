"""Texts that break carelessly made papers, and a first article in which they stand everywhere a person can type."""

from __future__ import annotations

from typing import Any

TEXTS = (
    "<script>alert(1)</script>",
    "</style><img src=http://example.invalid/x onerror=alert(1)>",
    '=HYPERLINK("http://example.invalid","x")',
    "+1+2",
    "-2+3",
    "@SUM(A1:A9)",
    "'already quoted",
    "\uff1d1+1",
    "#strong[x] $a^2$ *b* _c_ `d` // e \\ #sys.inputs",
    "{{ 7 * 7 }}{% if x %}{# y #}",
    "]]>&amp;<!-- x --><?php ?>",
    "\"double\" 'single' `back`",
    "_x0041_ and %s {} ${x}",
    "two\nlines",
    "Łódź, Gußstück, отливка, e\u0301, \U0001f600",
)
STEERING = ("a\x1b[31mred", "\u202edne thgir", "nul\x00and bell\x07", "tab\tand\rreturn", "c1\x9b31m", "\u2066x")


def everywhere(plain: dict[str, Any], text: str) -> dict[str, Any]:
    """The result with `text` in every field that comes from people."""
    who = {**plain["identity"], **dict.fromkeys(("job", "name", "alloy", "customer_ref", "drawing", "revision"), text)}
    names = {serial: f"{text} {n}" for n, serial in enumerate(who["serials"])}
    who["serials"] = list(names.values())
    who["people"] = [text]
    out = {**plain, "identity": who}
    out["instruments"] = [{**gauge, "label": text, "serial": text, "reference": text} for gauge in plain["instruments"]]
    out["features"] = []
    for line in plain["features"]:
        cells = [
            {**cell, "serial": names[cell["serial"]], "notes": [text], "instrument": text, "by": text, "typed": [text]}
            for cell in line["cells"]
        ]
        out["features"].append({**line, "name": text, "ends": text, "band_source": text, "cells": cells})
    out["not_measured"] = [{**one, "why": text} for one in plain["not_measured"]]
    out["questions"] = [{**one, "sentence": text, "serial": text} for one in plain["questions"]]
    out["loops"] = [{**one, "name": text, "serial": text} for one in plain["loops"]]
    out["passages"] = [{**one, "name": text} for one in plain["passages"]]
    out["cuts"] = {**plain["cuts"], "cuts": [{**one, "tool": text} for one in plain["cuts"]["cuts"]]}
    out["causes"] = {**plain["causes"], "sentences": [text]}
    return out
