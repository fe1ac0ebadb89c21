"""What the papers say of a car: over every visit of every shipped case, and on cars made for one thing each."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text, read_case
from diagnose.case.model import Case
from diagnose.findings.recorded import ASSUMED
from diagnose.pipeline import Bench
from diagnose.plan.from_diagnosis import SAID
from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved
from diagnose.plan.repairs import CAUTION, drains, wanted
from diagnose.plan.steps import GATE, chosen_roots
from diagnose.plan.wording import first_upper, sentence
from diagnose.report.model import WorkUp
from diagnose.report.sheet import SHEETS
from diagnose.report.sheet.customer import GAUGE
from diagnose.report.sheet.model import Jobs, Sheet
from diagnose.report.sheet.text import render as as_text
from diagnose.report.text import render_one

TOP = Path(__file__).parent.parent.parent
LONG = 60.0
"""Minutes of taking apart beyond which a second physical principle must agree (common practice, no source)."""


@cache
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", "plain")


@cache
def whole(path: Path) -> Case:
    return read_case(path)


VISITS = [(path, n) for path in sorted((TOP / "cases").glob("*.yaml")) for n in range(len(whole(path).visits) + 1)]
EVERY = pytest.mark.parametrize(("path", "number"), VISITS, ids=[f"{path.stem}-{n}" for path, n in VISITS])


class Papers:
    def __init__(self, case: Case, number: int) -> None:
        self.plan: Plan = bench().work_up(bench().visit(case, number))
        self.moved: Moved | None = bench().moved(case, number, self.plan)
        self.text = " ".join(render_one(WorkUp(self.plan, bench().book, self.moved)).split())
        self.sheets: dict[str, Sheet] = {who: make(self.plan, bench().book, self.moved) for who, make in SHEETS.items()}

    def sheet(self, reader: str) -> str:
        return " ".join(as_text(self.sheets[reader], 100_000).split())

    @property
    def everything(self) -> list[str]:
        return [self.text, *(self.sheet(reader) for reader in self.sheets)]

    def at(self, *kinds: str) -> list[int]:
        return [n for n, step in enumerate(self.plan.steps) if step.kind in kinds]


@cache
def leak() -> Papers:
    return made(LEAK)


@cache
def papers(path: Path, number: int) -> Papers:
    return Papers(whole(path), number)


def made(text: str) -> Papers:
    case = case_from_text(text, "made")
    return Papers(case, len(case.visits))


@EVERY
def test_proven_is_said_of_what_is_proven_and_of_nothing_else(path: Path, number: int) -> None:
    found = papers(path, number)
    for suspect in found.plan.diagnosis.suspects:
        if suspect.state == "proven":
            continue
        cause = suspect.cause
        for text in found.everything:
            for said in (cause.customer, cause.label, cause.short):
                first = re.escape(said[0])
                whom = f"(?:{first.lower()}|{first.upper()}){re.escape(' '.join(said[1:].split()))}"
                assert not re.search(rf"(?<!not )\b[Pp]roven: {whom}", text), said
                assert not re.search(rf"{whom}: proven", text), said


@EVERY
def test_one_cause_has_one_percentage(path: Path, number: int) -> None:
    """What a test is offered for begins at the figure that the list of causes gives."""
    found = papers(path, number)
    for suspect in found.plan.diagnosis.suspects:
        for choice in found.plan.diagnosis.next_tests:
            told = re.findall(rf"{re.escape(suspect.cause.short)} (?:rises|falls) from (\d+) to", choice.why)
            assert all(abs(int(percent) - 100 * suspect.probability) <= 0.6 for percent in told), choice.why
        if suspect.root and suspect.state in ("probable", "possible"):
            label = re.escape(suspect.cause.label[1:])
            shown = re.search(rf"{label}: {suspect.state}, [^(]*\((\d+) %", found.text)
            assert shown is None or abs(int(shown[1]) - 100 * suspect.probability) <= 0.51


@EVERY
def test_a_long_repair_waits_for_its_second_principle(path: Path, number: int) -> None:
    found = papers(path, number)
    for name in found.plan.diagnosis.unconfirmed:
        at = [n for n in found.at("repair") if found.plan.steps[n].ref == name]
        tests = [n for n in found.at("test") if "onfirm" in found.plan.steps[n].title]
        assert tests
        assert all(found.plan.steps[n].title.startswith("Only if a second physical principle confirms") for n in at)
        assert all(min(tests) < n for n in at)
    for n in found.at("repair"):
        step = found.plan.steps[n]
        if step.ref in bench().book.causes and bench().book.causes[step.ref].repair.dismantling > LONG:
            suspect = found.plan.diagnosis.suspect(step.ref)
            settled = suspect.state == "proven" or step.ref not in found.plan.diagnosis.unconfirmed
            assert settled or step.title.startswith("Only if")
            warned = any(line.startswith(f"{CAUTION}No dismantling of more than an hour") for line in step.lines)
            assert not (settled and warned)
    assert not any("tests named above" in text for text in found.everything)


@EVERY
def test_the_work_stands_in_the_order_in_which_it_is_done(path: Path, number: int) -> None:
    found = papers(path, number)
    steps = found.plan.steps
    assert found.at("test") == sorted(found.at("test"))
    mend, last_test = found.at("drain", "repair", "fill"), max(found.at("test"), default=-1)
    assert all(last_test < n for n in mend)
    for n in found.at("drain"):
        first = next(m for m in range(n, len(steps)) if steps[m].kind == "repair")
        assert bench().book.causes[steps[first].ref].repair.drains
    assert all(n == mend[-1] for n in found.at("fill"))
    if found.plan.decision.service.quantities != "none":
        assert all(n < found.at("service")[0] for n in mend)
    if mend:
        opened = [n for n in mend if steps[n].kind in ("drain", "fill")]
        assert all(any(steps[m].ref == GATE for m in range(n)) for n in opened)
    assert steps[-2].kind == "verify"


@EVERY
def test_what_a_repair_has_drained_is_filled_again(path: Path, number: int) -> None:
    found = papers(path, number)
    opened = [s for s in wanted(found.plan.diagnosis) if s.cause.repair.opens]
    service = found.plan.decision.service
    if not opened or service.quantities != "none":
        assert not found.at("fill")
        return
    (fill,) = (found.plan.steps[n] for n in found.at("fill"))
    if drains(found.plan.diagnosis):
        numbers = found.plan.numbers
        assert numbers is not None
        assert numbers.refill is not None
        said = " ".join(fill.lines)
        assert re.search(r"Aimed at \d+ %", said)
        assert re.search(r"[\d.]+ L of ", said)
        assert (numbers.refill.capacity is None) == ("The capacity is not known" in said)
        assert "DRAINING AND FILLING" in found.sheet("technician")


@EVERY
def test_the_customer_hears_the_most_certain_thing_first(path: Path, number: int) -> None:
    plan = papers(path, number).plan
    chosen = chosen_roots(plan.diagnosis)
    if chosen:
        first = plan.tell_customer[0]
        assert first.endswith(chosen[0].cause.customer[1:])
        assert first.startswith("This is proven: ") == (chosen[0].state == "proven")
    assert plan.tell_customer[-1] == plan.decision.service.customer


@EVERY
def test_the_customer_reads_what_the_signature_buys(path: Path, number: int) -> None:
    found = papers(path, number)
    (jobs,) = (
        block for section in found.sheets["customer"].sections for block in section.blocks if isinstance(block, Jobs)
    )
    titles = [job.title for job in jobs.jobs]
    assert len(titles) == len(set(titles))
    for choice in found.plan.diagnosis.next_tests:
        assert any(choice.test.customer in title for title in titles)
    for suspect in wanted(found.plan.diagnosis):
        assert any(suspect.cause.repair.customer in title and re.search(r"\d (min|h)", title) for title in titles)
    text = found.sheet("customer")
    assert "consumer" not in text
    driving = text.split("MAY IT BE DRIVEN MEANWHILE?")[1].split("NEXT CHECK")[0]
    assert (GAUGE in driving) == (found.plan.may_drive == "short" and "gauge" not in found.plan.drive_because)
    assert "none found this time)" not in text
    if any("=" in line and "#" in line for line in as_text(found.sheets["customer"], 92).splitlines()):
        assert "# is what was read" in text


@EVERY
def test_notes_reach_the_workshop_and_not_the_customer(path: Path, number: int) -> None:
    found = papers(path, number)
    case = found.plan.diagnosis.firings.findings.case
    for note in (case.note, *(entry.note for entry in (*case.readings, *case.givens))):
        said = " ".join(note.split())[1:].rstrip(".")
        if said:
            assert said in found.text
            assert said in found.sheet("technician")
            assert len(said.split()) < 2 or said not in found.sheet("customer")


@EVERY
def test_frost_is_told_where_it_may_be_driven(path: Path, number: int) -> None:
    plan = papers(path, number).plan
    short = plan.numbers is not None and any(each.verdict not in (None, "enough") for each in plan.numbers.frost)
    assert ("Keep it out of the frost" in plan.drive_because) == short


@EVERY
def test_advice_that_no_longer_holds_is_not_given(path: Path, number: int) -> None:
    plan = papers(path, number).plan
    findings = plan.diagnosis.firings.findings
    for rule in plan.bear_in_mind:
        assert not any(findings.sure(each.quantity) in each.bands for each in rule.moot_when)
    assert not any("may be opened" in label for label in plan.not_known)


@EVERY
def test_the_workshop_reads_what_was_told_and_what_to_bear_in_mind(path: Path, number: int) -> None:
    found = papers(path, number)
    order = found.sheet("technician")
    for finding in found.plan.diagnosis.firings.findings.givens.values():
        told = f"{first_upper(finding.quantity.label)}: {finding.shown}."
        assumed = all(reading.recorded == ASSUMED for reading in finding.readings)
        assert (told in order) == (finding.status == "known" and not assumed)
    for rule in found.plan.bear_in_mind:
        assert sentence(rule.says) in order


@EVERY
def test_whether_it_may_be_driven_is_one_answer(path: Path, number: int) -> None:
    """The strictest verdict, the reason of that verdict first, two reasons at most and then the frost."""
    plan = papers(path, number).plan
    fired = [firing.rule for firing in plan.diagnosis.firings.standing() if firing.rule.drive is not None]
    frost = "Keep it out of the frost" in plan.drive_because
    said = [rule for rule in fired if sentence(rule.drive.because) in plan.drive_because]  # type: ignore[union-attr]
    assert len({rule.drive.because for rule in said}) <= SAID  # type: ignore[union-attr]
    for rule in said:
        assert not (frost and "frost_margin" in {each.quantity for each in rule.when})
    order = ("no", "short", "yes", "not known")
    strictest = min((rule.drive.may for rule in fired), key=order.index, default="not known")  # type: ignore[union-attr]
    assert order.index(plan.may_drive) <= order.index(strictest) or frost


@EVERY
def test_no_column_of_the_work_order_is_empty_that_could_be_filled(path: Path, number: int) -> None:
    text = papers(path, number).sheet("technician")
    assert "right: ____" not in text


def test_every_test_and_repair_has_the_customers_words() -> None:
    book = bench().book
    assert [test.id for test in book.tests.values() if not test.customer] == []
    assert [cause.id for cause in book.causes.values() if not cause.repair.customer] == []
    words = [*(t.customer for t in book.tests.values()), *(c.repair.customer for c in book.causes.values())]
    assert [each for each in words if each.endswith(".") or each[:1].isupper()] == []


LEAK = """\
id: weeping-seam
date: 2026-11-20
title: blue van, wet at the left side of the core
family: unknown
system: {capacity: 10 L, coldest_expected: -12 degC, base_glycol: ethylene}
complaint: loses_coolant
readings:
  - {quantity: ph, value: 7..8, method: pad}
  - {quantity: mixture, value: 30 %, method: refractometer}
  - {quantity: level, value: low}
  - {quantity: pressure_hold, value: falls_seen_outside}
  - {quantity: leak_place, value: radiator, note: crust below the left tank}
"""


class TestAProvenLeakBesideADoubtfulReading:
    def test_the_leak_is_mended_and_the_reading_is_taken_again(self) -> None:
        assert leak().plan.decision.service.id == "measure_again"
        kinds = [step.kind for step in leak().plan.steps]
        assert kinds.index("service") < kinds.index("drain") < kinds.index("repair") < kinds.index("fill")

    def test_the_litres_by_the_balance_of_the_glycol(self) -> None:
        """10 L, 20 % stay inside at 30 %: (10 x 50 % - 2 x 30 %) / 95 % = 4.6 L of concentrate, worked by hand, and
        3.4 L of water to the mark."""
        (fill,) = (step for step in leak().plan.steps if step.kind == "fill")
        said = " ".join(fill.lines)
        assert "with the block plugs out, 8 L (7.5 to 8.5) come out: fill 4.6 L of concentrate" in said
        assert "and 3.4 L of deionised water to the mark" in said

    def test_frost_and_the_interval_as_it_was_written(self) -> None:
        """ASHRAE Fundamentals: 30 vol % of ethylene glycol freezes at -15.9 degC."""
        told = re.search(r"it protects to (-[\d.]+) degC, and -12 degC may come", leak().plan.drive_because)
        assert told is not None
        assert float(told[1]) == pytest.approx(-15.9, abs=0.3)
        doubtful = made(LEAK.split("  - {quantity: mixture")[0])
        assert "Acidity of the coolant: between 7 and 8 - not clear yet" in doubtful.sheet("customer")

    def test_the_customer_is_offered_the_radiator_first(self) -> None:
        recommended = leak().sheet("customer").split("WHAT IS RECOMMENDED")[1]
        assert recommended.index("We renew the radiator, about 2 h.") < recommended.index("not clear yet")


GAS = """\
id: climbs-on-the-motorway
date: 2026-11-20
title: grey saloon, gauge climbs
family: organic_acid
car: {fuel: petrol}
system: {capacity: 7 L, egr_cooler: none}
complaint: overheats
readings:
  - {quantity: overheating, value: at_speed}
  - {quantity: ph, value: 8.2, method: meter}
  - {quantity: mixture, value: 49 %}
  - {quantity: level, value: low}
  - {quantity: combustion_gas, value: found, method: colour}
MORE
"""
AGREES = "  - {quantity: cold_pressure_rise, value: fast, method: gauge}"


class TestGas:
    def test_what_the_driver_noticed_is_no_second_principle(self) -> None:
        found = made(GAS.replace("MORE\n", ""))
        assert found.plan.diagnosis.unconfirmed["head_gasket_gas"] == ("chemical",)
        assert "Only if a second physical principle confirms gas past the head gasket" in found.text
        assert "GAS-03" in [rule.id for rule in found.plan.bear_in_mind]

    def test_two_principles_that_agree_end_the_advice_to_go_on(self) -> None:
        found = made(GAS.replace("MORE", AGREES))
        assert not found.plan.diagnosis.unconfirmed
        assert not {"GAS-03", "GAS-14", "PH-23"} & {rule.id for rule in found.plan.bear_in_mind}
        assert "Only if" not in found.text
        assert "combustion gas at the filler neck: found" in found.text.split("WHAT TO TEST")[0].split("for: ", 1)[1]

    def test_the_second_visit_tells_of_the_first(self) -> None:
        again = """\
work: {service: replace, repaired: head_gasket_gas, note: head skimmed}
visits:
  - date: 2026-12-15
    complaint: overheats
    readings:
      - {quantity: overheating, value: at_speed}
      - {quantity: ph, value: 8.2, method: meter}
GASTEST"""
        first = GAS.replace("MORE", AGREES)
        noticed = made(first + again.replace("GASTEST", ""))
        text = noticed.sheet("customer")
        assert "LAST TIME, 20 NOVEMBER 2026" in text
        assert "renew the head gasket" in text.split("WHAT WAS MEASURED")[0]
        assert "whether it has held is not known yet" in text
        assert "head skimmed" in noticed.sheet("technician")
        assert "head skimmed" not in text
        found = made(first + again.replace("GASTEST", "      - {quantity: combustion_gas, value: found}\n"))
        assert "the fault is there again" in found.sheet("customer")


def test_what_brought_it_in_is_driven_again_before_it_is_called_cured() -> None:
    found = made("""\
id: c
date: 2026-07-07
title: t
family: organic_acid
history: {fill_age: 1 year}
complaint: overheats
readings:
  - {quantity: ph, value: 8.0, method: meter}
  - {quantity: mixture, value: 75 %, method: refractometer}
  - {quantity: level, value: at_mark}
  - {quantity: overheating, value: at_speed}
  - {quantity: airflow, value: blocked}
""")
    (verify,) = [step for step in found.plan.steps if step.kind == "verify"]
    assert any("brought it in" in line and "gauge" in line for line in verify.lines)
    assert "What brought it in" in found.sheet("technician")


def test_a_voltage_has_its_figure_and_rests_on_it() -> None:
    found = made(
        """\
id: amplifier
date: 2026-11-20
title: dark saloon, second heater core
family: conventional
readings:
  - {quantity: ph, value: 9, method: meter}
  - {quantity: mixture, value: 45 %}
  - {quantity: volts_all_off, value: 45 mV, note: the amplifier is the one}
  - {quantity: volts_loads_on, value: 0.48 V}
  - {quantity: ground_drop, value: 0.6 V}
  - {quantity: jumper_ground, value: collapses}
"""
    )
    text, order = found.sheet("customer"), found.sheet("technician")
    assert "Voltage in the coolant: 0.48 V - too much (right: up to 0.1 V)" in text
    assert "voltage in the coolant - too much" in text.split("This rests on")[1]
    assert "The amplifier is the one" in order or "the amplifier is the one" in order
    assert "right: up to 0.1 V; after" in order
    assert re.search(r"Not cured if again: largest voltage in the coolant in any state: .*was 0\.48", order)
