"""The customer's sheet and the work order, for every case of the workshop, in every form."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from functools import cache
from pathlib import Path

import pytest

from diagnose.case.from_yaml import read_case
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved
from diagnose.report.paper.sheet import PAPERS
from diagnose.report.paper.sheet import render as as_pdf
from diagnose.report.sheet import SHEETS
from diagnose.report.sheet.html import render as as_html
from diagnose.report.sheet.model import Bar, Bars, Blanks, Sheet
from diagnose.report.sheet.text import render as as_text

TOP = Path(__file__).parent.parent.parent
CASES = sorted((TOP / "cases").glob("*.yaml"))
JARGON = ("EGR", "inhibitor", "posterior", "odds", "reserve alkalinity", "vol %", "degC", "refractometer")
"""Trade words that the customer is spared (judgement)."""


@cache
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", "plain")


@cache
def plan(case: Path) -> Plan:
    return bench().work_up(bench().visit(read_case(case)))


@cache
def moved(case: Path) -> Moved | None:
    whole = read_case(case)
    return bench().moved(whole, len(whole.visits), plan(case))


def made(case: Path, reader: str) -> Sheet:
    return SHEETS[reader](plan(case), bench().book, moved(case))


def bars(sheet: Sheet) -> list[Bar]:
    return [
        bar for section in sheet.sections for block in section.blocks if isinstance(block, Bars) for bar in block.bars
    ]


def blanks(sheet: Sheet) -> list[str]:
    found = [block for section in sheet.sections for block in section.blocks if isinstance(block, Blanks)]
    return [name for block in found for name in (*block.names, *block.ticks)]


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_text_fits_a_phone_and_an_old_console(case: Path) -> None:
    for reader in SHEETS:
        for width in (44, 92):
            text = as_text(made(case, reader), width)
            assert max(map(len, text.splitlines())) <= width
            text.encode("cp1252")


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_the_customer_is_spared_trade_words(case: Path) -> None:
    text = as_html(made(case, "customer"))
    assert [word for word in JARGON if word in text] == []


def test_a_bar_shows_the_reading_on_the_right_side_of_its_limits() -> None:
    """pH 6.5 where 7 to 9 is right, and -21 degC, which is 36 %, where 40 to 60 % is right."""
    found = {bar.label: bar for bar in bars(made(TOP / "cases" / "white-van-acid.yaml", "customer"))}
    for label, word in (("Acidity of the coolant", "acid"), ("Antifreeze in the coolant", "protects too little")):
        bar = found[label]
        assert bar.verdict == "low"
        assert word in bar.word
        assert bar.good is not None
        assert bar.reading is not None
        assert 0 <= bar.reading[0] <= bar.reading[1] < bar.good[0] < bar.good[1] <= 1
    assert "-21" in found["Antifreeze in the coolant"].word


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_bars_agree_with_the_findings(case: Path) -> None:
    for bar in bars(made(case, "customer")):
        if bar.good is not None and bar.reading is not None:
            assert 0 <= bar.reading[0] <= bar.reading[1] <= 1
            inside = bar.reading[0] <= bar.good[1] and bar.reading[1] >= bar.good[0]
            assert inside or bar.verdict != "right"


def test_what_only_the_workshop_knows_is_left_blank() -> None:
    names = blanks(made(CASES[0], "customer"))
    for name in ("Workshop", "Order number", "Price", "I agree to the work", "I do not want the work done"):
        assert name in names


def test_nothing_is_called_proven_that_is_not() -> None:
    for case in CASES:
        proven = any(suspect.state == "proven" for suspect in plan(case).diagnosis.suspects)
        assert ("Proven: " in as_text(made(case, "customer"))) <= proven


@pytest.mark.parametrize("reader", list(SHEETS))
def test_the_page_is_well_formed_and_stands_alone(reader: str) -> None:
    for case in CASES[::7]:
        html = as_html(made(case, reader))
        assert not re.search(r"<script|<link|<img|url\(|https?://", html)
        body = html[html.index("<body>") : html.index("</html>")].replace("&nbsp;", " ")
        tree = ElementTree.fromstring(body)
        levels = [int(tag.tag[1]) for tag in tree.iter() if re.fullmatch(r"h\d", tag.tag)]
        assert levels[0] == 1
        assert set(levels[1:]) == {2}


def test_text_in_a_case_can_not_become_markup() -> None:
    sheet = Sheet("<b>", "<script>alert(1)</script> & more", "en", (), "'\"")
    assert "<script>" not in as_html(sheet)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_the_customer_gets_one_page(paper: str) -> None:
    pytest.importorskip("typst", reason="typst is not installed")
    for case in CASES:
        assert len(re.findall(rb"/Type\s*/Page\b(?!s)", as_pdf(made(case, "customer"), paper))) == 1, case.name


def test_the_same_pdf_twice() -> None:
    pytest.importorskip("typst", reason="typst is not installed")
    assert as_pdf(made(CASES[0], "technician")) == as_pdf(made(CASES[0], "technician"))


def test_what_a_rule_that_fired_warns_of_stands_in_the_work_order_and_not_on_the_customers_paper() -> None:
    case = TOP / "cases" / "diesel-in-the-coolant.yaml"
    warned = "gives vapour that catches fire"
    assert warned in " ".join(as_text(made(case, "technician")).split())
    assert warned not in " ".join(as_text(made(case, "customer")).split())


def test_the_work_order_has_room_for_what_is_measured_afterwards() -> None:
    text = as_text(made(TOP / "cases" / "white-van-acid.yaml", "technician"))
    for said in (
        "after: ____",
        "Label",
        "LABEL FOR THE BOTTLE",
        "WASTE",
        "in 12 months",
        "after 500 to 1000 km",
        "Not cured",
    ):
        assert said in text
    assert "Bleeding, heater on full" in text


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_a_work_order_says_what_holds_at_every_opening_once(case: Path) -> None:
    text = " ".join(as_text(made(case, "technician"), 88).split())
    for caution in bench().book.cautions.values():
        if caution.when == "opening":
            assert text.count(caution.text) == 1
