"""Which rules fire, may fire, are in force, and what they conclude."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.findings.model import Findings
from diagnose.firings.from_findings import RuleEngine
from diagnose.firings.matcher import EngineUnavailable
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Book

FindingsOf = Callable[..., Findings]
BookWith = Callable[[str], Book]
Write = Callable[..., str]


def fire(book: Book, findings: Findings) -> Firings:
    """Worked by the matcher at hand and by the plain one, which must agree."""
    usual, plain = RuleEngine(book).run(findings), RuleEngine(book, "plain").run(findings)
    assert usual.fired == plain.fired
    assert usual.findings == plain.findings
    assert usual.in_force == plain.in_force
    assert usual.concluded_by == plain.concluded_by
    return usual


def states(firings: Firings) -> dict[str, str]:
    return {firing.rule.id: firing.state for firing in firings.fired}


def test_rules_fire_in_the_order_of_the_book(small: Book, findings_of: FindingsOf) -> None:
    fired = fire(small, findings_of(small, level="low", mixture="thin", ph="acid")).fired
    names = [firing.rule.id for firing in fired]
    assert names == ["PH-1", "PH-2", "PH-4", "MI-1", "LE-1", "LE-2", "LE-3", "SV-1"]
    assert all(firing.on == firing.rule.when for firing in fired)


def test_a_straddling_reading_may_fire_and_a_wider_condition_still_fires(small: Book, findings_of: FindingsOf) -> None:
    straddling = findings_of(small, ph={"acid": 0.3, "low": 0.7})
    assert states(fire(small, straddling)) == {
        "PH-1": "may_fire", "PH-2": "may_fire", "PH-3": "may_fire", "PH-4": "may_fire", "SV-1": "fires",
    }  # fmt: skip


@pytest.mark.parametrize("status", ["unknown", "not_done"])
def test_not_measured_is_not_normal(small: Book, findings_of: FindingsOf, status: str) -> None:
    assert fire(small, findings_of(small, ph=status, mixture="good", level="at_mark")).fired == ()


def test_nothing_recorded_fires_nothing_and_concludes_nothing(small: Book, findings_of: FindingsOf) -> None:
    firings = fire(small, findings_of(small))
    assert firings.fired == ()
    assert firings.findings.found == {}


def test_a_conclusion_is_a_finding_that_further_rules_see(small: Book, findings_of: FindingsOf) -> None:
    firings = fire(small, findings_of(small, level="low", mixture="thin", reserve_share="good"))
    loss = firings.findings.found["loss"]
    assert (loss.status, loss.possible, loss.derived) == ("known", ("thin_and_low",), True)
    assert loss.readings[0].shares == (0.0, 1.0)
    assert (loss.shown, loss.limits_shown) == ("thin and low", "none")
    assert states(firings)["LE-3"] == "fires"
    assert firings.concluded_by == {"loss": ("LE-2",)}
    assert list(firings.findings.found) == ["mixture", "level", "reserve_share", "loss"]


def test_a_conclusion_of_a_rule_that_may_fire_leaves_the_normal_band_possible(
    small: Book, findings_of: FindingsOf
) -> None:
    firings = fire(small, findings_of(small, level="low", mixture={"thin": 0.2, "good": 0.6}))
    loss = firings.findings.found["loss"]
    assert loss.possible == ("none", "thin_and_low")
    assert loss.readings[0].shares == pytest.approx((0.75, 0.25))
    assert states(firings) == {"MI-1": "may_fire", "LE-1": "fires", "LE-2": "may_fire", "LE-3": "may_fire"}
    assert firings.concluded_by == {"loss": ("LE-2",)}


def test_two_straddling_readings_meet_both_conditions_more_seldom(small: Book, findings_of: FindingsOf) -> None:
    findings = findings_of(small, level={"at_mark": 0.5, "low": 0.5}, mixture={"thin": 0.5, "good": 0.5})
    assert fire(small, findings).findings.found["loss"].readings[0].shares == pytest.approx((0.75, 0.25))


def test_a_silent_pattern_is_normal_only_if_all_that_its_rules_look_at_is_known(
    small: Book, findings_of: FindingsOf
) -> None:
    normal = fire(small, findings_of(small, level="at_mark", mixture="thin"))
    assert normal.findings.found["loss"].possible == ("none",)
    assert normal.concluded_by == {}
    for part in ({"level": "at_mark"}, {"level": "at_mark", "mixture": "unknown"}, {"mixture": "thin"}):
        assert "loss" not in fire(small, findings_of(small, **part)).findings.found


def test_a_recorded_pattern_stands(small: Book, findings_of: FindingsOf) -> None:
    firings = fire(small, findings_of(small, level="low", mixture="thin", loss="none"))
    assert firings.findings.found["loss"].possible == ("none",)
    assert not firings.findings.found["loss"].derived
    assert states(firings) == {"MI-1": "fires", "LE-1": "fires", "LE-2": "fires"}
    assert firings.concluded_by == {}


def test_a_pattern_that_nobody_knew_is_still_concluded(small: Book, findings_of: FindingsOf) -> None:
    firings = fire(small, findings_of(small, level="low", mixture="thin", loss="unknown"))
    assert firings.findings.sure("loss") == "thin_and_low"


@pytest.fixture
def chained(book_with: BookWith, rule: Write, pattern: Write) -> Book:
    """Three patterns one after another, the last listed first; the middle one asks for a given as well."""
    return book_with(
        "patterns:\n" + pattern("last", "no", "yes", "other") + pattern("middle", "no", "yes") + "rules:\n"
        + rule("L-1", "{middle: yes}", "concludes: {last: yes}")
        + rule("L-2", "{middle: yes, ph: acid}", "concludes: {last: other}")
        + rule("M-1", "{loss: thin_and_low, cleaner_used: acid}", "concludes: {middle: yes}")
        + rule("F-1", "{family: [conventional], level: low}", "says: conventional")
        + rule("G-1", "{cleaner_used: [acid, alkaline], level: low}", "says: cleaner")
    )  # fmt: skip


def test_conclusions_chain_through_every_stage(chained: Book, findings_of: FindingsOf) -> None:
    firings = fire(chained, findings_of(chained, level="low", mixture="thin", cleaner_used="acid", ph="good"))
    assert firings.findings.sure("last") == "yes"
    assert firings.concluded_by == {"loss": ("LE-2",), "middle": ("M-1",), "last": ("L-1",)}
    assert {"L-1", "M-1", "LE-3"} <= {firing.rule.id for firing in firings.sure()}


def test_doubt_runs_through_the_chain(chained: Book, findings_of: FindingsOf) -> None:
    half = {"thin": 0.5, "good": 0.5}
    firings = fire(chained, findings_of(chained, level="low", mixture=half, cleaner_used="acid", ph="good"))
    assert firings.findings.found["last"].possible == ("no", "yes")
    assert firings.findings.found["last"].readings[0].shares == pytest.approx((0.5, 0.5, 0.0))
    assert states(firings)["L-1"] == "may_fire"


def test_a_rule_that_has_failed_waits_for_nothing_where_another_may_fire(
    chained: Book, findings_of: FindingsOf
) -> None:
    # pH is not known, but the rule that looks at it fails wherever the middle is 'no'
    half = {"thin": 0.5, "good": 0.5}
    firings = fire(chained, findings_of(chained, level="low", mixture=half, cleaner_used="acid"))
    assert firings.findings.found["last"].possible == ("no", "yes")
    # where no rule may fire at all, not measured is not normal
    assert "last" not in fire(chained, findings_of(chained, middle="no")).findings.found


def test_every_way_things_may_be_is_weighed(
    book_with: BookWith, rule: Write, pattern: Write, findings_of: FindingsOf
) -> None:
    book = book_with(
        "patterns:\n" + pattern("kind", "none", "one", "two") + "rules:\n"
        + rule("K-1", "{ph: acid}", "concludes: {kind: one}")
        + rule("K-2", "{ph: [low, good, high], mixture: thin}", "concludes: {kind: one}")
        + rule("K-3", "{ph: [low, good, high], mixture: [good, strong]}", "concludes: {kind: two}")
    )  # fmt: skip
    readings = {"ph": {"acid": 0.5, "low": 0.5}, "mixture": {"thin": 0.2, "good": 0.8}}
    kind = fire(book, findings_of(book, **readings)).findings.found["kind"]
    # one: all acid ways (0.5) and the thin ways that are not acid (0.5 x 0.2); two: the rest; none can't be
    assert kind.possible == ("one", "two")
    assert kind.readings[0].shares == pytest.approx((0.0, 0.6, 0.4))
    # without the mixture, what is not acid may be one or two: nothing can be said
    assert "kind" not in fire(book, findings_of(book, ph={"acid": 0.5, "low": 0.5})).findings.found


def test_too_many_straddling_readings_leave_a_pattern_open(
    small: Book, findings_of: FindingsOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnose.firings.doubt.MOST_WAYS", 3)
    straddling = findings_of(small, level={"at_mark": 0.5, "low": 0.5}, mixture={"thin": 0.5, "good": 0.5})
    firings = fire(small, straddling)
    assert states(firings)["LE-2"] == "may_fire"
    assert "loss" not in firings.findings.found


def test_rules_that_contradict_each_other_leave_both_bands_possible(chained: Book, findings_of: FindingsOf) -> None:
    firings = fire(chained, findings_of(chained, level="low", mixture="thin", cleaner_used="acid", ph="acid"))
    assert firings.findings.found["last"].possible == ("yes", "other")
    assert firings.concluded_by["last"] == ("L-1", "L-2")


def test_a_rule_that_cannot_concern_this_car_does_not_keep_a_pattern_open(
    chained: Book, findings_of: FindingsOf
) -> None:
    no_cleaner = fire(chained, findings_of(chained, cleaner_used="none"))
    assert no_cleaner.findings.sure("middle") == "no"
    assert "last" not in no_cleaner.findings.found  # pH is not known
    assert "middle" not in fire(chained, findings_of(chained, cleaner_used="unknown")).findings.found
    assert "middle" not in fire(chained, findings_of(chained, cleaner_used="acid")).findings.found


def test_rules_in_force(chained: Book, findings_of: FindingsOf) -> None:
    on_conditions = {"M-1", "F-1", "G-1"}
    always = chained.rules.keys() - on_conditions

    def in_force(families: dict[str, float] | str, **givens: str | dict[str, float]) -> set[str]:
        firings = fire(chained, findings_of(chained, families, **givens))
        assert always <= firings.in_force
        return set(firings.in_force - always)

    assert in_force("conventional", cleaner_used="acid") == {"F-1", "M-1", "G-1"}
    assert in_force("organic_acid", cleaner_used="alkaline") == {"G-1"}
    assert in_force("organic_acid", cleaner_used="none") == set()
    assert in_force({"conventional": 0.3, "organic_acid": 0.7}) == set()
    assert in_force({"conventional": 1.0, "organic_acid": 0.0}) == {"F-1"}
    assert in_force("organic_acid", cleaner_used="unknown") == set()
    assert in_force("organic_acid", cleaner_used={"acid": 0.5, "alkaline": 0.5}) == {"G-1"}


def test_a_family_that_is_not_sure_may_fire_its_rules(chained: Book, findings_of: FindingsOf) -> None:
    both = findings_of(chained, {"conventional": 0.3, "organic_acid": 0.7}, level="low")
    assert states(fire(chained, both))["F-1"] == "may_fire"


class TestWhichMatcher:
    def test_the_engine_where_it_can_be_used(self, small: Book) -> None:
        pytest.importorskip("durable.engine", reason="durable-rules is not installed")
        assert RuleEngine(small).name == RuleEngine(small, "durable").name == "durable-rules"

    def test_plain_by_choice(self, small: Book) -> None:
        assert RuleEngine(small, "plain").name == "plain matcher (chosen)"

    def test_no_other(self, small: Book) -> None:
        with pytest.raises(ValueError, match="one of auto, durable, plain, not 'fast'"):
            RuleEngine(small, "fast")

    def test_plain_where_the_engine_is_not_installed(
        self, small: Book, monkeypatch: pytest.MonkeyPatch, findings_of: FindingsOf
    ) -> None:
        monkeypatch.delitem(sys.modules, "diagnose.firings.durable", raising=False)
        monkeypatch.setitem(sys.modules, "durable", None)
        engine = RuleEngine(small)
        assert engine.name == "plain matcher (durable-rules is not installed)"
        assert engine.run(findings_of(small, level="low")).engine == engine.name
        with pytest.raises(EngineUnavailable, match="durable-rules is not installed"):
            RuleEngine(small, "durable")

    def test_plain_where_the_engine_was_built_wrongly(
        self, small: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        # as Python 3.13 reports it when the engine was built without the setting
        broken = tmp_path / "durable"
        broken.mkdir()
        (broken / "__init__.py").write_text("")
        (broken / "engine.py").write_text("raise ImportError('undefined symbol: PyEval_CallObject')\n")
        for module in ("durable", "durable.engine", "diagnose.firings.durable"):
            monkeypatch.delitem(sys.modules, module, raising=False)
        monkeypatch.syspath_prepend(str(tmp_path))
        assert "built without the setting" in RuleEngine(small).name
        for module in ("durable", "durable.engine", "diagnose.firings.durable"):
            sys.modules.pop(module, None)

    def test_plain_where_the_book_is_beyond_the_engine(self, small: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        pytest.importorskip("durable.engine", reason="durable-rules is not installed")
        monkeypatch.setattr("diagnose.firings.durable_layout.MOST_TERMS", 2)
        assert RuleEngine(small).name == "plain matcher (durable-rules can't take a rule of 3 conditions, 2 at most)"
        with pytest.raises(EngineUnavailable):
            RuleEngine(small, "durable")
