"""`job state` and `job list`."""

from __future__ import annotations

import json

from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_a_job_is_closed_listed_and_open_again(cli: Run, shop: SmallShop) -> None:
    at = ("--record", str(shop.record.path))
    assert (
        cli("job", "state", "SV-12", "closed", "--why", "delivered", "--by", "AB", *at).out == "job SV-12 is closed\n"
    )
    again = cli("job", "state", "SV-12", "closed", "--why", "x", "--by", "AB", *at)
    assert again.status == 2 and "is closed already" in again.err
    (row,) = json.loads(cli("job", "list", "--json", *at).out)
    assert (row["job"], row["state"], row["why"], row["tools"]) == ("SV-12", "closed", "delivered", 3)
    assert "closed" in cli("job", "list", *at).out
    assert "reopened" in cli("job", "state", "SV-12", "open", "--why", "more", "--by", "AB", *at).out
