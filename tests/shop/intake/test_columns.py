"""Columns in any order: guessed from their heads, mapped once and remembered, with their units."""

from __future__ import annotations

import pytest

from inspect_tui.commands.todo import said
from inspect_tui.errors import DataError
from inspect_tui.shop.intake.checks import UnitUnclear
from inspect_tui.shop.intake.columns import ColumnsUnclear, is_requirement, of_a_column
from inspect_tui.todo import Todo
from tests.conftest import SmallShop
from tests.shop.intake.conftest import Bring, nothing_was_written, value


@pytest.mark.parametrize(
    "content",
    [
        "Casting;F2 mm;F3_in\nC1;40,1;8,2756\n",
        "Casting;F2;F3\n;[mm];in\nC1;40,1;8,2756\n",
        "serial;feature;value_in\nC1;F3;8,2756\nC1;F2;1,5787\n",
        "Casting;F2 (mm);F3 [inch]\nC1;40,1;8,2756\n",
    ],
)
def test_units_close_a_head_or_stand_under_it(shop: SmallShop, bring, content: str) -> None:
    assert bring(content).readings == 2
    assert value(shop, "C1", "F3") == pytest.approx(210.2, abs=0.01)
    assert value(shop, "C1", "F2") == pytest.approx(40.1, abs=0.01)


def test_a_column_may_be_mapped_with_its_unit_and_that_is_remembered_but_doubted(shop: SmallShop, bring) -> None:
    heads = "Gussteil;Breite\n"
    mapping = (("serial", "Gussteil"), ("F3 [in]", "Breite"))
    bring(f"{heads}C1;8,276\n", mapping=mapping)
    assert value(shop, "C1", "F3") == pytest.approx(8.276 * 25.4)
    bring(f"{heads}C2;8,277\n", "g.csv")
    assert value(shop, "C2", "F3") == pytest.approx(8.277 * 25.4)
    with pytest.raises(UnitUnclear, match="as remembered from the last file of its kind, but like mm") as asked:
        bring(f"{heads}X1;210,1\nX2;210,2\nX3;210,3\n", "h.csv")
    assert (asked.value.unit, asked.value.columns) == ("mm", (("Breite", "F3"),))


def test_a_remembered_column_stays_left_out_when_more_is_said(shop: SmallShop, bring) -> None:
    bring("Casting;F99;Breite\nC1;7;40,1\n", mapping=(("ignore", "F99"), ("F2", "Breite")))
    bring("Casting;F99;Breite\nC1;7;210,1\n", "g.csv", mapping=(("F3", "Breite"),))
    assert bring("Casting;F99;Breite\nC2;7;210,1\n", "h.csv").readings == 1
    assert value(shop, "C2", "F3") == pytest.approx(210.1)


def test_a_line_of_readings_is_never_taken_for_the_heads(shop: SmallShop, bring) -> None:
    # C1 and F2 are known words, the heads are not: read as heads they would swallow the first reading
    with pytest.raises(ColumnsUnclear, match="no column gives the value; its columns are: Gussteil, Merkmal, Wert"):
        bring("Gussteil;Merkmal;Wert\nC1;F2;40,1\n")
    mapping = (("serial", "Gussteil"), ("feature", "Merkmal"), ("value", "Wert"))
    assert bring("Gussteil;Merkmal;Wert\nC1;F2;40,1\n", mapping=mapping).readings == 1
    assert bring("Feature;101;102\nF2;40,1;40,2\n", "g.csv").new_castings == ("101", "102")


def test_heads_that_are_not_known_are_mapped_once_and_remembered_in_any_order(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(DataError, match="names a feature of job") as unknown:
        bring("Gussteil,Breite A1\nC1,210.2\n")
    assert unknown.value.todo is Todo.NAME_COLUMNS and "--map" in said(unknown.value)
    assert nothing_was_written(shop)
    bring("Gussteil,Breite A1\nC1,210.2\n", mapping=[("serial", "Gussteil"), ("F3", "Breite A1")])
    done = bring("Breite A1;Gussteil\n210,3;C2\n", name="next.csv")
    assert done.readings == 1
    assert value(shop, "C2", "F3") == pytest.approx(210.3)
    assert shop.record.counts()["import_mapping"] == 1


def test_a_column_is_left_out_when_it_is_said_to_be_ignored(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(DataError, match=r"no feature F99 on revision A") as unknown:
        bring("Casting,F2,F99\nC1,40.1,7\n")
    assert said(unknown.value).endswith("--map FEATURE='F99', or leave it out: --map ignore='F99'.")
    assert bring("Casting,F2,F99\nC1,40.1,7\n", mapping=[("ignore", "F99")]).readings == 1
    assert bring("F99,Casting,F3\n7,C1,210.2\n", name="b.csv", mapping=[("ignore", "F99")]).readings == 1


def test_a_mapping_to_something_that_is_no_feature_is_refused(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(DataError, match="neither a feature on revision A") as unknown:
        bring("Casting,Width\nC1,40.1\n", mapping=[("F77", "Width")])
    assert (unknown.value.todo, unknown.value.about) == (Todo.SAY_WHAT_COLUMN, "Width")


def test_a_file_with_another_separator_than_any_says_what_its_first_line_reads(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(DataError, match=r"No line of f\.csv names a feature"):
        bring("Casting F2 F3\nC1 40.1 210.2\n")


ACROSS = (
    "Balloon;Soll;Nennmaß;Mittelwert;Oberes Abmaß;OK?;C1;C2\n{}",
    "cote;cible;moyenne;exigence mini;exigence maxi;C1;écart type;C2\n{}",
    "Característica;Objetivo;Promedio;Mínimo;Desviación típica;Límite superior;C1;C2\n{}",
    "Item no;Target value;Mean of 3;Req. min;Drawing;Tol +;Spec limit (upper);Average of all;C1;C2\n{}",
    "Maß;Sollwert;Untergrenze;Obergrenze;C1;Streuung;Spannweite;C2\n{}",
    "caratteristica;obiettivo;media;limite inferiore;scostamento;C1;C2\n{}",
    "Kenmerk;doel;gemiddelde;ondergrens;bovengrens;C1;C2\n{}",
    "mått;krav;medelvärde;undre gräns;övre gräns;C1;C2\n{}",
    "cecha;cel;średnia;górna granica;odchyłka;C1;C2\n{}",
)


@pytest.mark.parametrize("text", ACROSS)
def test_what_is_wanted_or_a_mean_is_no_casting_in_any_language(shop: SmallShop, bring: Bring, text: str) -> None:
    heads = text.splitlines()[0].split(";")
    rows = []
    for balloon, size in (("F2", 40.1), ("F3", 210.2)):
        figures = {"C1": size, "C2": size + 0.1}
        rows.append(
            ";".join([balloon, *(f"{figures.get(head, size + 1):.1f}".replace(".", ",") for head in heads[1:])])
        )
    done = bring(text.format("\n".join(rows)))
    assert (done.readings, done.castings, done.new_castings) == (4, 2, ())
    assert value(shop, "C1", "F3") == pytest.approx(210.2) and value(shop, "C2", "F2") == pytest.approx(40.2)


def test_what_is_wanted_of_a_feature_is_no_reading_of_it(shop: SmallShop, bring: Bring) -> None:
    assert bring("Casting;F2;Soll F2;F3;F3 target [mm];min. F2\nC1;40,1;40;210,2;210;39\n").readings == 2
    assert is_requirement("Soll F2", {"F2": "F2"}.get) is False  # the words come in small letters
    assert is_requirement("Soll F2", {"f2": "F2"}.get) and not is_requirement("Soll F2") and not is_requirement("F2")


def test_a_column_of_features_or_serials_is_known_by_what_stands_in_it(shop: SmallShop, bring: Bring) -> None:
    assert bring("Prüfling;F2;F3\nC1;40,1;210,2\nC2;40,2;210,3\n").castings == 2
    assert bring("Wo;Woran;value\nF2;C1;40,4\nF3;C2;210,4\n", "b.csv").readings == 2
    assert value(shop, "C2", "F3") == pytest.approx((210.3 + 210.4) / 2)
    with pytest.raises(ColumnsUnclear, match="F99"):  # a casting that nobody knows is no serial by itself
        bring("Was;F2;F99\nX1;40,1;2\n", "c.csv", mapping=(("serial", "Was"),))


def test_all_columns_that_nobody_knows_are_told_at_once(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(
        ColumnsUnclear, match=r"column Gas: no feature Gas on revision A.*Not known either: F98, Kilo"
    ) as unclear:
        bring("Casting;F2;Gas;F98;Kilo;who knows\nC1;40,1;20;7;3,5;me\n")
    assert unclear.value.about == "Gas"
    done = bring("Casting;F2;Gas;F98\nC1;40,1;20;7\n", mapping=(("ignore", "Gas"), ("ignore", "F98")))
    assert done.readings == 1


def test_a_mapping_is_remembered_by_its_columns_and_not_by_its_castings(shop: SmallShop, bring: Bring) -> None:
    bring("Wonach;C1;C2\nBreite;40,1;40,2\n".replace("Breite", "F2"), mapping=(("feature", "Wonach"),))
    done = bring("Wonach;C7;C2;C8\nF3;210,1;210,2;210,3\n", "b.csv")  # other castings, and more of them
    assert done.new_castings == ("C7", "C8") and done.readings == 3
    with pytest.raises(ColumnsUnclear):
        bring("Woran;X1\nBreite;40,1\n", "c.csv")
    assert not of_a_column("C1", {"F2"}) and of_a_column("F2 [in]", {"F2"}) and of_a_column("serial", ())
