"""A tree on paper: cautions, overview, one chart a page, numbered key. Worksheet and answers have the same pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from hashlib import sha256

from diagnose.graph.from_tree import MORE_CAUTIONS, READING
from diagnose.graph.model import Graph
from diagnose.report.handout.boxes import Answer, Box, Boxes, blanks_among, boxes_of, can_be_blank
from diagnose.report.handout.chart import WIDTH
from diagnose.report.handout.citing import Sources
from diagnose.report.handout.overview import Overview, one_line, overview_of, runs
from diagnose.report.handout.placing import Line, Placed
from diagnose.report.handout.sections import Section, sections_of
from diagnose.rulebook.model import Book, Citation

CAUTION = "CAUTION: "
MODES = {"charts": "", "worksheet": "Worksheet", "answers": "Answers to the worksheet"}
"""What one tree is printed as, with the words in the head."""
HEADING = 15.0
LIST_SIZE, LIST_ROOM = 9.5, 330.0
"""Points, as in the template."""


class TreeSheets:
    """One tree, paged once for all that is printed of it. Raises TooLong, Refused."""

    def __init__(self, graph: Graph, book: Book, seed: str = "") -> None:
        self.graph = graph
        self.book = book
        self.seed = f"{graph.id}{seed}"
        self.boxes: Boxes = boxes_of(graph, book)
        self.sections: tuple[Section, ...] = sections_of(self.boxes, self.seed)
        self.overview: Overview = overview_of(self.sections, self.boxes)

    def data(self, mode: str) -> dict[str, object]:
        """What the template `tree` prints; `mode` is one of MODES."""
        front = self.front()
        return {
            **front,
            "mode": mode,
            "kind": MODES[mode],
            "overview": self._overview(),
            "list": [self._listed(section) for section in self.sections],
            "sections": [self._section(section) for section in self.sections],
            "key": self._key() if mode == "charts" else [],
            "endings": self._endings() if mode == "charts" else [],
            "services": [{"number": n, "text": text} for n, text in self.boxes.services.items()],
            "sources": front["sources"] if mode == "charts" else [],
        }

    def front(self) -> dict[str, object]:
        """What every print of the tree begins with, its notes and its sources."""
        told = (CAUTION, self.book.title, self.book.defers_to, *READING)
        return {
            "title": self.graph.title,
            "foot": self.graph.title.rsplit(": ", 1)[0],
            "mode": "charts",
            "cautions": self._cautions(),
            "defers": self.book.defers_to,
            "reading": " ".join(READING),
            "notes": [note for note in self.graph.notes if not note.startswith(told)],
            "sources": Sources(self.book, self._cited()).listed(),
        }

    def gate(self) -> list[str]:
        """The cautions that come before anything is opened."""
        nodes = [node for node in self.graph.nodes if node.kind == "caution"]
        return [text for node in nodes for text in (node.label, *node.lines) if text != MORE_CAUTIONS]

    def home(self, name: str) -> Section:
        """The section in which a question is asked."""
        return next(each for each in self.sections if any(box.id == name for box in each.questions))

    def _cautions(self) -> list[str]:
        return [*self.gate(), *(n.removeprefix(CAUTION) for n in self.graph.notes if n.startswith(CAUTION))]

    def _cited(self) -> list[Citation]:
        """What the tests drawn and the cautions stand on."""
        cautions = self._cautions()
        refs = dict.fromkeys(node.ref for node in self.graph.nodes if node.ref in self.book.tests)
        found = [citation for ref in refs for citation in self.book.tests[ref].sources]
        warned = [caution for caution in self.book.cautions.values() if caution.text in cautions]
        return [*found, *(citation for caution in warned for citation in caution.sources)]

    def _overview(self) -> dict[str, object]:
        seen = self.overview
        told = [
            f"{' and '.join(row.letters)}: {row.title}" + (f", from {row.word}" if row.word else "")
            for row in seen.rows
        ]
        return {**asdict(seen), "alt": f"Sections and the answers that lead to them. {'. '.join(told)}."}

    def _listed(self, section: Section) -> dict[str, object]:
        root = self.boxes.by_id[section.root]
        part = f" (page {section.part} of {section.parts})" if section.parts > 1 else ""
        words = [a.edge.word for a in self.boxes.answers if a.edge.target == section.root]
        return {
            "letter": section.letter,
            "begins": one_line(f"{root.main}{part}", LIST_ROOM, LIST_SIZE),
            "questions": runs(sorted(int(box.address) for box in section.questions)),
            "origin": section.origin,
            "words": "; ".join(one_line(word, LIST_ROOM, LIST_SIZE, bold=False) for word in words),
        }

    def _section(self, section: Section) -> dict[str, object]:
        blanks = blanks_among(section.boxes, self.seed)
        answers = list(dict.fromkeys(box.main for box in section.boxes if box.id in blanks))
        root = self.boxes.by_id[section.root]
        part = f", {section.part} of {section.parts}" if section.parts > 1 else ""
        chart = section.chart
        return {
            "letter": section.letter,
            "title": one_line(f"Section {section.letter}{part}: {root.main}", WIDTH - 4, HEADING),
            "origin": section.origin,
            "from": self.home(self._asker(section)).letter if section.origin else "",
            "shows": _span([answer.name for answer in section.answers]) if section.parts > 1 else "",
            "others": [
                {"letter": each.letter, "shows": _span([answer.name for answer in each.answers])}
                for each in self.sections
                if each.root == section.root and each.letter != section.letter
            ],
            "alt": self._alt(section),
            "width": chart.width,
            "height": chart.height,
            "scale": chart.scale,
            "boxes": [self._box(placed) for placed in chart.boxes],
            "lines": [line_data(line) for line in chart.lines],
            "notes": list(chart.notes),
            "bank": sorted([*answers, *self._decoy(section, answers)], key=str.casefold),
            "answers": answers,
        }

    def _asker(self, section: Section) -> str:
        return next(a.edge.source for a in self.boxes.answers if a.edge.target == section.root)

    def _decoy(self, section: Section, answers: Sequence[str]) -> list[str]:
        """One word that fits nowhere on the page."""
        here = " ".join(" ".join((box.main, *box.more)) for box in section.boxes).casefold()
        others = {
            box.main
            for box in self.boxes.by_id.values()
            if box.main.split(": ")[-1].casefold() not in here and can_be_blank(box)
        }
        ranked = sorted(others, key=lambda text: sha256(f"{self.seed}/{section.letter}/{text}".encode()).hexdigest())
        return ranked[:1] if answers else []

    def _box(self, placed: Placed) -> dict[str, object]:
        return {**box_data(placed), "home": self.home(placed.box.node).letter if placed.box.foot else ""}

    def _alt(self, section: Section) -> str:
        return " ".join(
            f"{box.head}: {box.main}. {' '.join(self._told(a) for a in section.answers if a.edge.source == box.id)}"
            for box in section.questions
        )

    def _told(self, answer: Answer) -> str:
        target = self.boxes.by_id[answer.edge.target]
        where = f"go to {target.address}" if self.boxes.is_question(target.id) else f"{target.head}: {target.main}"
        return f"{answer.name} {answer.edge.word}: {where}."

    def _key(self) -> list[dict[str, object]]:
        """Couplets as in a field guide: each question with its answers, each answer with where it leads."""
        return [self._couplet(box) for box in self.boxes.by_id.values() if self.boxes.is_question(box.id)]

    def _couplet(self, box: Box) -> dict[str, object]:
        rows = []
        for answer in self.boxes.below(box.id):
            target = self.boxes.by_id[answer.edge.target]
            goes = f"go to {target.address}" if self.boxes.is_question(target.id) else f"{target.address} {target.main}"
            rows.append({"name": answer.name, "word": answer.edge.word, "goes": goes})
        asks = f": {' '.join(box.more)}" if box.more else ""
        into = ", ".join(a.name for a in self.boxes.answers if a.edge.target == box.id)
        return {"address": box.address, "head": f"{box.main}{asks}", "note": box.head, "from": into, "rows": rows}

    def _endings(self) -> list[dict[str, object]]:
        ends = [box for box in self.boxes.by_id.values() if not self.boxes.is_question(box.id)]
        return [
            {"head": box.head, "main": box.main, "more": ". ".join(filter(None, (*box.more, box.does)))} for box in ends
        ]


def box_data(placed: Placed) -> dict[str, object]:
    """A box as the templates draw it, from its left upper corner."""
    return {
        "x": placed.x - placed.w / 2,
        "y": placed.y - placed.h / 2,
        "w": placed.w,
        "h": placed.h,
        "kind": placed.box.kind,
        "head": list(placed.head),
        "main": list(placed.main),
        "more": list(placed.more),
        "foot": placed.box.foot,
        "blank": placed.blank,
    }


def line_data(line: Line) -> dict[str, object]:
    """A line as the templates draw it."""
    return {
        "points": [list(p) for p in line.points],
        "word": list(line.word),
        "at": list(line.at),
        "dashed": line.dashed,
    }


def _span(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"
