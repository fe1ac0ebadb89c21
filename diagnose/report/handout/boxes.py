"""What is printed in each box of a tree: an address, what is done or known, and where the way goes on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import count

from diagnose.graph.model import Edge, Graph, Node
from diagnose.graph.tree_model import CONTINUE_ID, GO_ON
from diagnose.plan.wording import first_upper
from diagnose.report.diagram.looks import BOXES
from diagnose.report.handout import metrics
from diagnose.rulebook.model import Book

SIZE = 10.0
"""Type in a chart before it is fitted to the page, in points."""
BLANK_ROOM = 100.0
"""Width of a blank, in points before fitting."""
BLANK_LINES = 2
LONG_ANSWER = 64
"""Characters; a longer answer is written below the chart, and only its letter stands on the line."""
QUESTIONS = frozenset(("entry", "question", "test"))
ANSWERS = frozenset(("answer", "sound_answer"))
_MINUTES = re.compile(r"[0-9]+ min")


@dataclass(frozen=True, slots=True)
class Box:
    """`address` is the number of a question or `R` and the number of an ending. `main` is what a worksheet may leave
    blank. `does` tells what is done with the coolant, by its number in the list below the chart, and whether the car
    may be driven. `foot` is the address at which the way goes on, if that is on another page. `of` is the box in the
    tree that this one repeats.
    """

    id: str
    kind: str
    address: str
    head: str
    main: str
    more: tuple[str, ...]
    service: str = ""
    does: str = ""
    foot: str = ""
    of: str = ""

    @property
    def node(self) -> str:
        """The id in the tree, also of a box that is drawn several times."""
        return self.of or self.id


@dataclass(frozen=True, slots=True)
class Answer:
    """A line from a question: `name` is its address and letter, as in the numbered key (3b)."""

    edge: Edge
    name: str

    @property
    def long(self) -> bool:
        return len(self.edge.word) > LONG_ANSWER

    @property
    def label(self) -> str:
        return f"{self.name} (below)" if self.long else f"{self.name} {self.edge.word}"


@dataclass(frozen=True, slots=True)
class Boxes:
    """The tree in print: boxes in the order in which they are met, the lines between them, and what is done with the
    coolant at the ends, by number (S1, S2 ...).
    """

    by_id: dict[str, Box]
    answers: tuple[Answer, ...]
    root: str
    services: dict[str, str]

    def below(self, name: str) -> list[Answer]:
        return [answer for answer in self.answers if answer.edge.source == name]

    def is_question(self, name: str) -> bool:
        return self.by_id[name].kind in QUESTIONS


def boxes_of(graph: Graph, book: Book) -> Boxes:
    """Questions numbered from 1 and endings from R1, both in the order in which they are met. Cautions stand apart."""
    graph = _one_to_go_on(graph)
    edges = [edge for edge in graph.edges if edge.kind in ANSWERS]
    asked = {edge.source for edge in edges}
    nodes = [node for node in graph.nodes if node.kind != "caution"]
    services: dict[str, str] = {}
    questions = count(1)
    endings = count(1)
    found: dict[str, Box] = {}
    for node in nodes:
        if node.id in asked:
            found[node.id] = _question(node, str(next(questions)))
        else:
            found[node.id] = _ending(node, f"R{next(endings)}", book, services)
    order = list(found)
    answers: list[Answer] = []
    for name in order:
        below = [edge for edge in edges if edge.source == name]
        answers += [Answer(edge, f"{found[name].address}{letters(n)}") for n, edge in enumerate(below)]
    root = next(name for name in order if name in asked)
    return Boxes(found, tuple(answers), root, {number: text for text, number in services.items()})


def _one_to_go_on(graph: Graph) -> Graph:
    """The boxes that say no more than to go on have one number in print, on however many pages they stand."""
    several = {node.id for node in graph.nodes if node.id.startswith(GO_ON)}
    nodes: dict[str, Node] = {}
    for node in graph.nodes:
        name = CONTINUE_ID if node.id in several else node.id
        nodes.setdefault(name, replace(node, id=name))
    edges = tuple(replace(e, target=CONTINUE_ID) if e.target in several else e for e in graph.edges)
    return replace(graph, nodes=tuple(nodes.values()), edges=edges)


def letters(number: int) -> str:
    """0 is a, 25 z, 26 aa and so on."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("a") + rest) + text
    return text


def can_be_blank(box: Box) -> bool:
    """Whether what is asked for fits into a blank."""
    fits = len(metrics.fold(box.main, BLANK_ROOM, SIZE, bold=True)) <= BLANK_LINES
    return fits and not box.foot and box.kind not in ("entry", "open")


def apart(boxes: Sequence[Box], answers: Sequence[Answer]) -> tuple[tuple[Box, ...], tuple[Answer, ...]]:
    """Where the way ends or goes on elsewhere, drawn anew beside each question that leads there: no lines cross.

    It has one number, however many times it is drawn.
    """
    sources: dict[str, dict[str, None]] = {}
    for answer in answers:
        sources.setdefault(answer.edge.target, {})[answer.edge.source] = None
    asked = {answer.edge.source for answer in answers}
    several = {name for name, those in sources.items() if len(those) > 1 and name not in asked}
    found: list[Box] = []
    for box in boxes:
        if box.id in several:
            found += [replace(box, id=f"{box.id} {source}", of=box.id) for source in sources[box.id]]
        else:
            found.append(box)
    lines = [
        replace(a, edge=replace(a.edge, target=f"{a.edge.target} {a.edge.source}")) if a.edge.target in several else a
        for a in answers
    ]
    return tuple(found), tuple(lines)


def blanks_among(boxes: Sequence[Box], seed: str) -> list[str]:
    """About one box in three, at most six on a page and one at least where any can be; the same for the same seed.

    The first box stands in the heading, and what stands in two boxes could be read off the other one: it is left
    blank, in all of them at once, only where nothing else on the page can be.
    """
    told = [box.main for box in boxes]
    open_to = [box for box in boxes[1:] if can_be_blank(box) and told.count(box.main) == 1]
    ranked = sorted(open_to, key=lambda box: sha256(f"{seed}/{box.id}".encode()).hexdigest())
    chosen = {box.id for box in ranked[: min(6, (len(boxes) + 2) // 3)]}
    return [box.id for box in open_to if box.id in chosen] or _alike(boxes, seed)


def _alike(boxes: Sequence[Box], seed: str) -> list[str]:
    """All boxes that say the same, where each of them can be blank; six at most."""
    groups = [[box for box in boxes if box.main == text] for text in dict.fromkeys(box.main for box in boxes[1:])]
    whole = [group for group in groups if boxes[0] not in group and len(group) <= 6 and all(map(can_be_blank, group))]
    ranked = sorted(whole, key=lambda group: sha256(f"{seed}/{group[0].id}".encode()).hexdigest())
    return [box.id for box in ranked[0]] if ranked else []


def _question(node: Node, address: str) -> Box:
    lines = list(node.lines)
    minutes = f", {lines.pop()}" if lines and _MINUTES.fullmatch(lines[-1]) else ""
    return Box(
        node.id, node.kind, address, f"{BOXES[node.kind].word}\u00a0{address}{minutes}", node.label, tuple(lines)
    )


def _ending(node: Node, address: str, book: Book, services: dict[str, str]) -> Box:
    """The first suspect in bold, its state in the head; what is done by its number, since it returns in many boxes."""
    word = BOXES[node.kind].word
    lines = [node.label, *node.lines]
    if node.kind == "continue":
        lines = list(node.lines[1:])
        if not lines:
            return Box(node.id, "open", address, f"{word}\u00a0{address}", node.label, ())
    label = first_upper(book.services[node.ref].label) if node.ref in book.services else ""
    service = next((line for line in lines[1:] if label and line.startswith(label)), "")
    does = ""
    if service:
        number = services.setdefault(service, f"S{len(services) + 1}")
        at = lines.index(service)
        does = " ".join([f"Service {number}.", *lines[at + 1 :]])
        lines = lines[:at]
    state, colon, main = lines[0].partition(": ")
    head = f"{word}\u00a0{address}"
    if colon:
        head = f"{head}, {state[:1].lower()}{state[1:]}"
    return Box(node.id, node.kind, address, head, main or state, tuple(lines[1:]), services.get(service, ""), does)
