"""The way that one case took through a tree, marked in its diagram."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from diagnose.diagnosis.evidence import better_than
from diagnose.findings.model import Finding, Findings
from diagnose.graph.model import Graph
from diagnose.graph.road import Answer, as_most_are, passed_over
from diagnose.graph.tree_model import Branch, Outcome, Question, Tree, box_id
from diagnose.graph.words import is_sound, said_band
from diagnose.rulebook.model import FAMILY, Book, Entry


@dataclass(frozen=True, slots=True)
class Step:
    """A question that is drawn, how the case answers it, and the box that this leads to."""

    question: str
    branch: Branch
    to: str


@dataclass(frozen=True, slots=True)
class Path:
    """`steps` from the start of the tree; `end` is the last box; `notes` tell what was taken for granted, or why the
    case goes no further on this tree."""

    steps: tuple[Step, ...]
    end: str
    notes: tuple[str, ...]


def entry_for(findings: Findings, book: Book) -> Entry | None:
    """The first entry with which the case can have come in."""
    for entry in book.entries.values():
        for start in entry.starts:
            if all(_band(findings, Answer(c.quantity, c.bands[0])) == c.bands[0] for c in start):
                return entry
    return None


def path_of(findings: Findings, tree: Tree, book: Book) -> Path:
    """Follow the case from the start as far as its readings lead.

    A reading that is missing where others of the same test were taken is taken to be in order, and
    that is said. Where the test was not done, or a reading straddles, the way ends.
    """
    steps: list[Step] = []
    notes: list[str] = list(_other_than_drawn(findings, book))
    here = tree.root
    while here in tree.questions:
        branch, missing = _follow(tree.questions[here], findings, book)
        if branch is None:
            notes.append(_why(tree.questions[here], findings, book))
            break
        notes += [f"Not recorded, taken to be in order: {book.quantities[name].label}." for name in missing]
        if tree.parts(here):
            steps.append(Step(here, branch, tree.shown(branch.to)))
        here = branch.to
    return Path(tuple(steps), tree.shown(here), tuple(dict.fromkeys(notes)))


def _other_than_drawn(findings: Findings, book: Book) -> Iterator[str]:
    """Facts that the tree is silent about and that are otherwise on this car."""
    for answer in as_most_are(book):
        finding = findings.get(answer.quantity)
        if finding is None or finding.status != "known" or answer.quantity not in passed_over(book):
            continue
        if _band(findings, answer) != answer.band:
            yield f"The tree is drawn for other cars: {finding.quantity.label} {said_band(answer, book)}."


def mark_path(graph: Graph, path: Path, case_id: str) -> Graph:
    """The same diagram, with the case's way marked on boxes and lines."""
    end = box_id(path.steps[-1].question, path.end) if path.steps else path.end
    boxes = {step.question for step in path.steps} | {end}
    lines = {(s.question, box_id(s.question, s.to), s.branch.word) for s in path.steps}
    nodes = tuple(replace(node, mark="path") if node.id in boxes else node for node in graph.nodes)
    edges = tuple(replace(e, mark="path") if (e.source, e.target, e.word) in lines else e for e in graph.edges)
    notes = (f"The heavy line is the way of the case {case_id}.", *path.notes, *graph.notes)
    return replace(graph, id=f"{graph.id}.case.{case_id}", nodes=nodes, edges=edges, notes=notes)


def _band(findings: Findings, answer: Answer) -> str | None:
    """The band in which the case surely has it, by the answer's instrument or a better one."""
    if answer.quantity == FAMILY:
        return next(iter(findings.families)) if len(findings.families) == 1 else None
    finding = findings.get(answer.quantity)
    if finding is None or finding.status != "known":
        return None
    quantity = finding.quantity
    method = answer.method or (quantity.methods[0].id if quantity.methods else "")
    for reading in finding.readings:
        if reading.method == method:
            able = [band.id for band, share in zip(quantity.bands, reading.shares, strict=True) if share > 0]
            return able[0] if len(able) == 1 else None
    if answer.method and not any(r.method in better_than(quantity, answer.method) for r in finding.readings):
        return None
    return findings.sure(answer.quantity)


def _follow(question: Question, findings: Findings, book: Book) -> tuple[Branch | None, list[str]]:
    """The branch whose outcome agrees with the case, and what was taken to be in order for it."""
    fits: list[tuple[int, Branch, list[str]]] = []
    silent = passed_over(book)
    told = {answer for branch in question.branches for o in branch.outcomes for answer in _telling(o, book)}
    asked = {answer for answer in told if answer.quantity not in silent}
    for branch in question.branches:
        for outcome in branch.outcomes:
            missing = _missing(outcome, findings, book)
            if missing is not None:
                fits.append((len(missing), branch, missing))
    if fits:
        _, branch, missing = min(fits, key=lambda fit: fit[0])
        return branch, missing
    other = next((branch for branch in question.branches if not branch.outcomes), None)
    all_known = bool(asked) and all(_band(findings, answer) is not None for answer in asked)
    return (other, []) if other is not None and all_known else (None, [])


def _missing(outcome: Outcome, findings: Findings, book: Book) -> list[str] | None:
    """What the case has not recorded of an outcome that it otherwise agrees with; None where it doesn't agree."""
    silent = passed_over(book)
    answers = [(a, _band(findings, a)) for a in _telling(outcome, book) if a.quantity not in silent]
    if any(band is not None and band != answer.band for answer, band in answers):
        return None
    open_ones = [answer for answer, band in answers if band is None]
    most = as_most_are(book)
    taken = [answer in most or is_sound([answer], book) for answer in open_ones]
    if len(open_ones) == len(answers) or not all(taken):
        return None
    return [answer.quantity for answer in open_ones]


def _telling(outcome: Outcome, book: Book) -> list[Answer]:
    return [a for a in outcome.answers if a.quantity == FAMILY or len(book.quantities[a.quantity].bands) > 1]


def _why(question: Question, findings: Findings, book: Book) -> str:
    names = dict.fromkeys(a.quantity for b in question.branches for o in b.outcomes for a in _telling(o, book))
    found = [findings.get(name) for name in names if name != FAMILY]
    doubtful = [finding for finding in found if finding is not None and _straddles(finding)]
    if doubtful:
        return f"The way ends where a reading can't tell: {doubtful[0].quantity.label}."
    if question.test:
        return f"The way ends at what was not done or doesn't stand in the tree: {book.tests[question.test].label}."
    return "The case did not come in with this."


def _straddles(finding: Finding) -> bool:
    return finding.status == "known" and finding.straddles
