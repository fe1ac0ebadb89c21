"""How a derived quantity follows from others: one fixed operator over its terms."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Formula, Quantity, Term
from diagnose.yamlfile import ListNode, MapNode, Node, Place, Record, TextNode, did_you_mean, short
from diagnose.yamlfile.record import plain_number

OPERATORS = {
    "ratio": (2, 2),
    "difference": (2, 2),
    "margin": (2, 2),
    "spread": (2, 99),
    "maximum": (2, 99),
    "minimum": (2, 99),
    "freezing_point": (1, 1),
    "water_gained": (2, 2),
}
"""Each operator with the fewest and the most terms it takes."""

_NO_TERM = Term("", 0.0, "", 1.0, Place(""))


def read_formula(node: Node, known: Known) -> Formula | None:
    """`{ratio: [a, b]}`; None when it can't be read."""
    if not isinstance(node, MapNode) or len(node.pairs) != 1:
        says = "a value is one operator with its terms"
        known.problems.add(node.place, "wrong-shape", says, "write 'value: {ratio: [first, second]}'")
        return None
    (key, value), operator = node.pairs[0], node.pairs[0][0].text
    if operator not in OPERATORS:
        hint = did_you_mean(operator, OPERATORS, f"operators: {', '.join(OPERATORS)}")
        known.problems.add(key.place, "unknown-operator", f"there is no operator '{short(operator)}'", hint)
        return None
    items = value.items if isinstance(value, ListNode) else (value,)
    fewest, most = OPERATORS[operator]
    if not fewest <= len(items) <= most:
        count = f"{fewest} term{'s'[: fewest != 1]}" + (" or more" if most > fewest else "")
        says = f"'{operator}' takes {count}, not {len(items)}"
        known.problems.add(value.place, "arity", says, f"write '{operator}: [{', '.join('abc'[:fewest])}]'")
    return Formula(operator, tuple(_term(item, known) for item in items), node.place)


def check_formulas(quantities: dict[str, Quantity], known: Known) -> None:
    """Terms are numbers, and every family has the values that formulas ask for."""
    for quantity in quantities.values():
        for term in quantity.formula.terms if quantity.formula else ():
            for name in (term.name, term.by):
                if name.startswith("family."):
                    _check_family_value(name.removeprefix("family."), quantity, term, known)
                elif name in quantities and not quantities[name].unit:
                    says = f"'{name}' is told in words; nothing can be reckoned from it"
                    known.problems.add(term.place, "term-in-words", says, "name a quantity that has a unit")


def _check_family_value(name: str, quantity: Quantity, term: Term, known: Known) -> None:
    lacking = [family for family in known.families.values() if name not in family.values]
    if len(lacking) == len(known.families):
        names = sorted({value for family in known.families.values() for value in family.values})
        known.problems.unknown_name(term.place, "value of the families", name, names)
        return
    for family in lacking:
        says = f"the family '{family.id}' has no value '{name}', which '{quantity.id}' needs"
        known.problems.add(family.place, "missing-value", says, "add it under 'values', as other families have it")


def _term(node: Node, known: Known) -> Term:
    if isinstance(node, TextNode):
        number = plain_number(node.text.strip())
        if number is not None:
            return Term("", number, "", 1.0, node.place)
        return Term(_named(node, known), 0.0, "", 1.0, node.place)
    if isinstance(node, ListNode):
        says = "a term is a quantity, a family's value or a number, not a list"
        known.problems.add(node.place, "wrong-shape", says, "write its name or {term: ..., by: ..., over: ...}")
        return _NO_TERM
    record = Record(node, known.problems, "term")
    inner = record.node("term", required=True)
    by = record.node("by")
    over = record.number("over", required=False, default=1.0)
    record.done()
    if over == 0:
        known.problems.add(record.place_of("over"), "not-a-number", "'over' can't be 0", "nothing is divided by 0")
    main = _term(inner, known) if isinstance(inner, TextNode) else _NO_TERM
    if inner is not None and not isinstance(inner, TextNode):
        known.problems.add(inner.place, "wrong-shape", "'term' takes one name or number", "write 'term: mixture'")
    factor = _named(by, known) if isinstance(by, TextNode) else ""
    if by is not None and not isinstance(by, TextNode):
        known.problems.add(by.place, "wrong-shape", "'by' takes one name", "write 'by: mixture'")
    return Term(main.name, main.number, factor, over, node.place)


def _named(node: TextNode, known: Known) -> str:
    name = node.text.strip()
    return name if name.startswith("family.") else known.name("quantity", node)


def inputs(formula: Formula) -> set[str]:
    """The quantities from which the formula reckons."""
    names = {name for term in formula.terms for name in (term.name, term.by)}
    return {name for name in names if name and not name.startswith("family.")}


def evidence_free(quantities: Mapping[str, Quantity]) -> set[str]:
    """Givens, and derived quantities that follow from givens and the family alone: never evidence."""
    free = {q.id for q in quantities.values() if q.role == "given"}
    grown = True
    while grown:
        more = {q.id for q in quantities.values() if q.formula and q.id not in free and inputs(q.formula) <= free}
        grown = bool(more)
        free |= more
    return free
