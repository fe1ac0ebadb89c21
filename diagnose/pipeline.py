"""The whole road on one screen."""

from __future__ import annotations

from pathlib import Path

from diagnose.case.model import Case
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Diagnosis
from diagnose.findings.from_case import find
from diagnose.findings.model import Findings
from diagnose.firings.from_findings import RuleEngine
from diagnose.firings.model import Firings
from diagnose.plan.from_diagnosis import plan
from diagnose.plan.model import Plan
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book


class Bench:
    """One rulebook, compiled once, on which cases are worked up one after the other."""

    def __init__(self, book: Book | Path, engine: str = "auto", shown_as: str | None = None) -> None:
        self.book = read_book(book, shown_as) if isinstance(book, Path) else book
        self.rules = RuleEngine(self.book, engine)
        self.belief = Belief(self.book)

    def findings(self, case: Case) -> Findings:
        return find(case, self.book)

    def firings(self, case: Case) -> Firings:
        return self.rules.run(self.findings(case))

    def diagnosis(self, case: Case) -> Diagnosis:
        return diagnose(self.firings(case), self.belief)

    def work_up(self, case: Case) -> Plan:
        return plan(self.diagnosis(case), self.book)
