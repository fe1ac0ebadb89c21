"""A case's way through a tree, and two editions of one diagram."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from diagnose.case.from_yaml import case_from_text
from diagnose.findings.model import Findings
from diagnose.graph.editions import against
from diagnose.graph.from_diagnosis import entry_for, mark_path, path_of
from diagnose.graph.from_tree import from_tree
from diagnose.graph.model import Edge, Graph, Node
from diagnose.graph.road import Answer, case_text
from diagnose.graph.tree_model import CONTINUE_ID, Outcome, Tree
from diagnose.graph.words import branch_words
from diagnose.pipeline import Bench
from diagnose.report.handout.boxes import boxes_of
from tests.graph.test_proof import arrivals

HEAD = "id: one\ndate: 2000-01-01\ntitle: one\n"


def found(bench: Bench, text: str) -> Findings:
    return bench.firings(case_from_text(text, "case")).findings


def test_a_case_that_records_a_way_comes_to_its_end(car: Bench, car_trees: Mapping[str, Tree]) -> None:
    """Every way of a tree whose readings can stand in a case leads that case to the same box."""
    tree, book = car_trees["ph_out"], car.book
    tried = 0
    for here in arrivals(tree, car):
        roles = {book.quantities[answer.quantity].role for answer in here.answers}
        if here.box in tree.endings and roles <= {"reading", "given"}:
            path = path_of(found(car, case_text(here.answers, here.state, book)), tree, book)
            assert path.end == here.box
            assert not path.notes
            tried += 1
    assert tried >= 10


def test_the_way_is_marked_and_ends_where_the_case_ends(small: Bench, small_trees: Mapping[str, Tree]) -> None:
    tree = small_trees["level_low"]
    findings = found(small, f"{HEAD}readings:\n  - {{quantity: level, value: low}}\n")
    assert entry_for(findings, small.book) == small.book.entries["level_low"]
    path = path_of(findings, tree, small.book)
    graph = mark_path(from_tree(tree, small.book), path, "one")
    marked = {node.id for node in graph.nodes if node.mark == "path"}
    assert marked == {"start", path.end}
    assert [edge.source for edge in graph.edges if edge.mark == "path"] == ["start"]
    assert path.notes or path.end in tree.endings
    assert graph.notes[0] == "The heavy line is the way of the case one."


def test_going_on_is_drawn_beside_each_question_and_has_one_number_in_print(
    car: Bench, car_trees: Mapping[str, Tree]
) -> None:
    for tree in car_trees.values():
        graph = from_tree(tree, car.book)
        asked = [q.id for q in tree.questions.values() if any(b.to == CONTINUE_ID for b in q.branches)]
        drawn = {node.id for node in graph.nodes if node.label == "Continue with the program" and not node.lines}
        lines = [edge for edge in graph.edges if edge.target in drawn]
        assert sorted(edge.source for edge in lines) == sorted(asked)
        assert len(drawn) == len(asked)
        boxes = boxes_of(graph, car.book)
        assert sum(box.kind == "open" for box in boxes.by_id.values()) == bool(asked)
        assert len(boxes.answers) == len(graph.edges) - 1  # that from the caution
        ends = [box.address for box in boxes.by_id.values() if box.address.startswith("R")]
        assert ends == [f"R{n}" for n in range(1, len(tree.endings) + 1)]


def test_what_is_not_measured_is_not_taken_for_normal(small: Bench, small_trees: Mapping[str, Tree]) -> None:
    tree = small_trees["ph_out"]
    path = path_of(found(small, f"{HEAD}readings:\n  - {{quantity: ph, value: 6.4}}\n"), tree, small.book)
    assert path.end in tree.questions
    assert path.notes


def test_a_straddling_reading_ends_the_way(small: Bench, small_trees: Mapping[str, Tree]) -> None:
    findings = found(small, f"{HEAD}family: organic_acid\nreadings:\n  - {{quantity: ph, value: 6.8, method: pad}}\n")
    assert findings.found["ph"].straddles
    path = path_of(findings, small_trees["ph_out"], small.book)
    assert path.steps == ()
    assert "can't tell" in path.notes[0]


A, B, C, D = (Node(name, "cause", name.upper()) for name in "abcd")
OLD = Graph("g", "g", (A, B, C), (Edge("a", "b", "leads_to", "often"), Edge("b", "c", "leads_to", "often")))


def marks(graph: Graph) -> dict[str, str]:
    return {node.id: node.mark for node in graph.nodes}


def test_the_same_edition_has_no_changes(car: Bench, car_trees: Mapping[str, Tree]) -> None:
    graph = from_tree(car_trees["ph_out"], car.book)
    same = against(graph, graph)
    assert same.notes[0] == "Nothing changed."
    assert same.nodes == graph.nodes
    assert same.edges == graph.edges


def test_added_and_removed() -> None:
    new = replace(OLD, nodes=(A, B, D), edges=(OLD.edges[0], Edge("b", "d", "leads_to", "often")))
    changed = against(new, OLD)
    assert marks(changed) == {"a": "", "b": "", "d": "added", "c": "removed"}
    assert [(e.source, e.target, e.mark) for e in changed.edges] == [
        ("a", "b", ""), ("b", "d", "added"), ("b", "c", "removed"),
    ]  # fmt: skip
    assert changed.notes[0] == "Boxes: 1 added, 1 removed. Lines: 1 added, 1 removed."


def test_moved_is_neither_added_nor_removed() -> None:
    moved = replace(C, id="c2")
    changed = against(replace(OLD, nodes=(A, B, moved), edges=(Edge("a", "c2", "leads_to", "often"),)), OLD)
    assert marks(changed) == {"a": "", "b": "", "c2": "moved"}


def test_a_box_that_says_something_else_shows_both() -> None:
    new = replace(OLD, nodes=(A, replace(B, label="other"), C))
    assert marks(against(new, OLD)) == {"a": "", "b": "added", "c": "", "b.before": "removed"}


def test_an_answer_that_forbids_something_on_the_car_is_drawn_however_rare(
    car: Bench, car_trees: Mapping[str, Tree]
) -> None:
    """Coolant in the oil is rare and never hidden in 'any other answer' (common practice: it is not driven)."""
    tells = {
        test.id: {each.quantity for each in test.yields} & {"oil_glycol", "engine_oil", "transmission_fluid"}
        for test in car.book.tests.values()
    }
    grave = {("oil_glycol", "found"), ("engine_oil", "milky"), ("transmission_fluid", "pink_milky")}
    asked = 0
    for tree in car_trees.values():
        for question in tree.questions.values():
            if not tells.get(question.test):
                continue
            asked += 1
            drawn = [
                (branch.to, {(a.quantity, a.band) for a in outcome.answers} & grave)
                for branch in question.branches
                for outcome in branch.outcomes
            ]
            bad = [to for to, answers in drawn if answers]
            assert bad, (tree.entry, question.id)
            assert all(tree.endings[to].drive == "no" for to in bad if to in tree.endings)
    assert asked


def test_a_line_says_what_tells_it_from_the_others_and_no_two_say_the_same(
    car: Bench, car_trees: Mapping[str, Tree]
) -> None:
    """A place where coolant is seen says that the pressure fell outside; the words of all lines still differ."""
    places = 0
    for tree in car_trees.values():
        for question in tree.questions.values():
            words = [branch.word for branch in question.branches]
            assert len(set(words)) == len(words), (tree.entry, question.id)
            for branch in question.branches:
                told = {a.quantity for outcome in branch.outcomes for a in outcome.answers}
                if question.test == "leak_search" and "seen outside" not in branch.word and "pressure_hold" in told:
                    places += "it falls" not in branch.word and branch.word.startswith("at ")
    assert places > 3


def test_a_tree_asks_nothing_that_is_asked_before_a_hand_goes_near_the_car(
    car: Bench, car_trees: Mapping[str, Tree]
) -> None:
    for tree in car_trees.values():
        assert "ask_hybrid" not in {question.test for question in tree.questions.values()}
        notes = " ".join(from_tree(tree, car.book).notes)
        assert "hybrid, and which loop is meant: not a hybrid" in notes


def test_a_case_that_does_not_say_so_is_taken_for_what_most_cars_are(car: Bench, car_trees: Mapping[str, Tree]) -> None:
    text = "family: organic_acid\nreadings:\n  - {quantity: ph, value: 6.4, method: pad}\n"
    silent = path_of(found(car, HEAD + text), car_trees["ph_out"], car.book)
    assert silent.steps
    other = path_of(found(car, f"{HEAD}car: {{hybrid: engine_loop}}\n{text}"), car_trees["ph_out"], car.book)
    assert not other.steps


def test_a_fact_that_only_tells_which_tests_may_be_done_is_not_asked(car: Bench, car_trees: Mapping[str, Tree]) -> None:
    """No cause hangs on where the cap sits, so a car that has it elsewhere goes the same way, and that is said."""
    tree = car_trees["level_low"]
    assert "see_cap_place" not in {question.test for question in tree.questions.values()}
    assert "where the pressure cap sits: on the pressurised tank" in " ".join(from_tree(tree, car.book).notes)
    low = "family: organic_acid\nreadings:\n  - {quantity: level, value: low}\n"
    low += "  - {quantity: ph, value: 8.1, method: pad}\n"
    usual = path_of(found(car, HEAD + low), tree, car.book)
    other = path_of(found(car, f"{HEAD}system: {{pressurised: neck}}\n{low}"), tree, car.book)
    assert len(usual.steps) > 1
    assert other.steps == usual.steps
    assert "where the pressure cap sits" in " ".join(other.notes)
    assert "where the pressure cap sits" not in " ".join(usual.notes)


def test_what_parts_nothing_has_no_box_of_its_own(small: Bench, small_trees: Mapping[str, Tree]) -> None:
    """All answers to one question lead to the same next one: it is told in that one's box."""
    tree = next(each for each in small_trees.values() if len(each.questions) > 2)
    parent = next(q for q in tree.questions.values() if q.test and any(b.to in tree.questions for b in q.branches))
    branch = next(branch for branch in parent.branches if branch.to in tree.questions)
    after = tree.questions[branch.to]
    outcome = replace(branch.outcomes[0], probability=1.0)
    aside = replace(parent, id="aside.1", branches=(replace(branch, outcomes=(outcome,), to=after.id),))
    redirected = replace(
        parent, branches=tuple(replace(b, to="aside.1") if b is branch else b for b in parent.branches)
    )
    longer = replace(tree, questions={**tree.questions, parent.id: redirected, "aside.1": aside})
    graph = from_tree(longer, small.book)
    assert "aside.1" not in {node.id for node in graph.nodes}
    assert [(e.source, e.target) for e in graph.edges] == [
        (e.source, e.target) for e in from_tree(tree, small.book).edges
    ]
    assert any(line.startswith("First: ") for line in graph.node(after.id).lines)


def test_no_line_says_what_is_known_to_be_otherwise(car_trees: Mapping[str, Tree]) -> None:
    """Where a voltage was found, no line says that there is none in any state; a pattern comes as its rules have it."""
    lines = 0
    for question in car_trees["voltage_found"].questions.values():
        for outcome in (outcome for branch in question.branches for outcome in branch.outcomes):
            bands = {answer.quantity: answer.band for answer in outcome.answers}
            if "voltage_pattern" in bands:
                lines += 1
                assert bands["voltage_pattern"] != "quiet"
            if "voltage_at_rest" in bands:
                lines += 1
                assert (bands["voltage_at_rest"] == "none") == (bands["volts_at_rest"] == "quiet")
    assert lines >= 4


def test_a_line_leaves_out_only_what_goes_with_what_it_names(car: Bench) -> None:
    """Of the cars that answer as the line says, four in five belong to it: 'foam' alone is not 'foam, and fuel'."""
    hose, weep, seen, fuel, foam = (
        Answer("leak_place", "hose_or_clip"),
        Answer("leak_place", "pump_seal"),
        Answer("pressure_hold", "falls_seen_outside"),
        Answer("smell", "fuel"),
        Answer("foam", "foams"),
    )
    leaks = [[Outcome((hose, seen), 0.4)], [Outcome((weep, seen), 0.2)]]
    often = [(frozenset((hose, seen)), 0.4), (frozenset((weep, seen)), 0.2), (frozenset((weep,)), 0.1)]
    words = branch_words(leaks, often, car.book)
    assert words[0] == "at a hose or clip"
    assert "coolant is seen outside" in words[1]
    smells = [[Outcome((fuel,), 0.02)], [Outcome((fuel, foam), 0.01)]]
    every = [(frozenset((fuel,)), 0.02), (frozenset((fuel, foam)), 0.01), (frozenset((foam,)), 0.1)]
    assert "fuel" in branch_words(smells, every, car.book)[1]
    assert "foam" in branch_words(smells, every, car.book)[1]
