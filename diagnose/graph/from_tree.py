"""A decision tree to a diagram: boxes with their text, and lines with their words."""

from __future__ import annotations

from dataclasses import replace

from diagnose.graph.explore import RARE, WORTH_FOLLOWING
from diagnose.graph.fold import HANDOVER
from diagnose.graph.model import Edge, Graph, Node
from diagnose.graph.road import as_most_are
from diagnose.graph.tree_model import CONTINUE_ID, GO_ON, Branch, Ending, Question, Tree, box_id
from diagnose.graph.words import said_band
from diagnose.plan.wording import first_upper, join
from diagnose.rulebook.model import Book

DRIVE = {
    "yes": "May be driven.",
    "short": "May be driven to the workshop only.",
    "no": "Not to be driven.",
    "not known": "Not known yet whether it may be driven.",
}
CONTINUE = "Continue with the program"
READING = (
    "Where several things are looked at, what isn't named is in order, or goes with what is named.",
    "Limits are those of the car's own coolant family, which is taken as known.",
)
"""What has to be known to read the lines."""
MORE_CAUTIONS = "More cautions stand under the drawing."


def from_tree(tree: Tree, book: Book) -> Graph:
    """Cautions come before the first box, then questions and endings in the order in which they are met."""
    order = _order(tree)
    nodes = [_caution(tree, book)]
    for name in order:
        if name in tree.questions:
            nodes.append(_question(tree.questions[name], tree, book))
        else:
            ending = tree.endings[CONTINUE_ID if name.startswith(GO_ON) else name]
            nodes.append(replace(ending_node(ending, book), id=name))
    edges = [Edge("caution", tree.root, "before", "before any test")]
    for name in order:
        if name in tree.questions:
            edges += [_edge(name, branch, tree) for branch in tree.questions[name].branches]
    title = f"{tree.label}: what to test, and what it means"
    return Graph(f"{tree.book}.tree.{tree.entry}", title, tuple(nodes), tuple(edges), notes_of(tree, book))


def notes_of(tree: Tree, book: Book) -> tuple[str, ...]:
    """What must be said beside the drawing."""
    expected = tree.expected
    notes = [f"CAUTION: {text}" for text in _cautions(tree, book, gate=False)]
    notes += [
        f"{book.title}, edition {tree.edition}.",
        f"Expected with this tree: {expected.tree:.0f} min (tests, repairs, cars that come back); with the program: "
        f"{expected.live_least:.0f} to {expected.live_most:.0f} min.",
        f"A question is drawn where, over 100 cars that come in so, it spares {100 * tree.charge:.0f} min or more in "
        f"all of handing readings to the program ({HANDOVER:g} min each time).",
        f"Not drawn: answers that fewer than {RARE * 100:g} in 100 cars give at a test, or fewer than "
        f"{WORTH_FOLLOWING * 1000:g} in 1000 of all that come in so, unless they forbid something on the car.",
        f"Every test drawn is the program's own choice, or within {tree.tolerance:.0%} of it.".replace("%", " %"),
    ]
    notes += [
        f"Drawn for cars as most are ({book.quantities[a.quantity].label}: {said_band(a, book)}). On others go by the "
        "program."
        for a in as_most_are(book)
    ]
    if expected.undrawn > 0.005:
        cars = max(1, round(100 * expected.undrawn))
        notes.append(f"Of 100 cars, {cars} end where the program would ask on: give it the readings and go on there.")
    if not tree.complete:
        notes.append(f"Left out: what lies beyond the {tree.evaluated} states that were worked up for this tree.")
    before = dict.fromkeys(name for service in book.services.values() for name in service.read_before)
    if before:
        labels = join([book.quantities[name].label for name in before])
        notes.append(f"Read before the coolant goes, also where it is not drawn: {labels}.")
    notes.append("The minutes at a test hold the waiting and the way to it too, such as taking the cap off.")
    notes += READING
    notes.append(book.defers_to)
    return tuple(notes)


def ending_node(ending: Ending, book: Book) -> Node:
    """What the way comes to: suspects, decision, and whether the car may be driven."""
    if not ending.decision:
        return Node(ending.id, "continue", CONTINUE)
    says = [f"{first_upper(state)}: {book.causes[name].short}" for name, state in ending.causes]
    service = first_upper(book.services[ending.decision].label)
    lines = [*says, f"{service}, {ending.after}" if ending.after else service, DRIVE[ending.drive]]
    if ending.kind == "continue":
        return Node(ending.id, "continue", CONTINUE, ("So far:", *lines), ending.decision)
    return Node(ending.id, "result", lines[0], tuple(lines[1:]), ending.decision)


def _question(question: Question, tree: Tree, book: Book) -> Node:
    if not question.test:
        return Node(question.id, "entry", tree.label, ("What was found?",), tree.entry)
    test = book.tests[question.test]
    label = first_upper(book.quantities[question.asks].label) if question.asks else ""
    asks = (f"{label}:",) if label not in ("", first_upper(test.label)) else ()
    before = [f"First: {book.tests[q.test].label}, {q.minutes:.0f} min" for q in tree.asked_before(question.id)]
    lines = (*before, *asks, f"{question.minutes:.0f} min")
    return Node(question.id, "question", first_upper(test.label), lines, test.id)


def _edge(source: str, branch: Branch, tree: Tree) -> Edge:
    to = box_id(source, tree.shown(branch.to))
    return Edge(source, to, "sound_answer" if branch.sound else "answer", branch.word)


def _order(tree: Tree) -> list[str]:
    """Every box once, as a reader meets them."""
    found: dict[str, None] = {}
    waiting = [tree.root]
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        found[name] = None
        if name in tree.questions:
            waiting += [box_id(name, tree.shown(branch.to)) for branch in reversed(tree.questions[name].branches)]
    return list(found)


def _caution(tree: Tree, book: Book) -> Node:
    """What holds before anything is opened stands in the drawing, the rest under it."""
    gate = _cautions(tree, book, gate=True)
    more = (MORE_CAUTIONS,) if _cautions(tree, book, gate=False) else ()
    first, *others = gate or [book.defers_to]
    return Node("caution", "caution", first, (*others, *more))


def _cautions(tree: Tree, book: Book, gate: bool) -> list[str]:
    """Texts of those before opening (`gate`), or of the others: of tests and endings drawn, and what always holds."""
    tests = [book.tests[question.test] for question in tree.questions.values() if question.test]
    named = {name for test in tests for name in test.cautions}
    for ending in tree.endings.values():
        if ending.kind != "continue":
            named |= {*book.services[ending.decision].cautions}
            named |= {caution for name, _ in ending.causes for caution in book.causes[name].cautions}
    opens = any(test.opens for test in tests)
    holds = {"always": True, "opening": opens, "named": False, "unconfirmed": False}
    needed = [caution for caution in book.cautions.values() if caution.id in named or holds[caution.when]]
    return [caution.text for caution in needed if (caution.when == "opening") is gate]
