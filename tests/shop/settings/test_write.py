"""One setting written: comments stay, a broken file is left alone."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.settings import file, write

COMMENTED = '# mine\n[show]\nstyle = "mm"  # for now\n\n[keys]\nbench.skip = "f8"\n'


def test_the_first_setting_makes_the_file() -> None:
    assert write.put("show.style", "INCH") == "inch"
    assert write.put("show.bell", "false") == "false" and write.put("show.inch_places", "3") == "3"
    assert write.put("people.B1", "fraction") == "fraction"
    text = file.path().read_text("utf-8")
    assert text.startswith("# How things are shown") and "bell = false\ninch_places = 3" in text
    read = file.read()
    assert (read.style.unit, read.style.places, read.bell, read.people) == ("in", 3, False, {"B1": "fraction"})


def test_comments_stay_and_dotted_keys_are_replaced() -> None:
    file.path().parent.mkdir(parents=True)
    file.path().write_text(COMMENTED, "utf-8")
    write.put("show.style", "fraction")
    write.put("keys.bench.skip", "ctrl+k")
    text = file.path().read_text("utf-8")
    assert "# mine" in text and "# for now" in text
    assert not file.read().wrong and file.read().keys == {"bench.skip": "ctrl+k"}
    assert write.put("keys.bench.skip", None) == "" and file.read().keys == {}
    assert write.put("show.style", None) == "mm" and file.read().style.unit == "mm"


def test_what_is_refused_leaves_the_file_as_it_was() -> None:
    with pytest.raises(DataError, match=r"it may be mm, inch, fraction\. Nothing was written"):
        write.put("show.style", "yards")
    with pytest.raises(DataError, match="shwo is no setting"):
        write.put("shwo", None)
    assert not file.path().exists()
    file.path().parent.mkdir(parents=True)
    file.path().write_text("[show\n", "utf-8")
    with pytest.raises(DataError, match="put it right first"):
        write.put("show.style", "inch")
    assert file.path().read_text("utf-8") == "[show\n"


def test_a_folder_that_takes_nothing_is_told() -> None:
    file.path().parent.parent.mkdir(parents=True, exist_ok=True)
    file.path().parent.write_text("a file stands there", "utf-8")
    with pytest.raises(DataError, match=r"settings\.toml cannot be"):
        write.put("show.style", "inch")
