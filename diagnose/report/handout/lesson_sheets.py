"""Sheets for the class that need no tree: one card a test, misconceptions, and the rules of one lesson."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.findings.shown import show_limits, show_range
from diagnose.plan.wording import duration, first_upper, sentence
from diagnose.report.handout.citing import Sources
from diagnose.rulebook.model import Book, Caution, Citation, MayDrive, Misconception, Quantity, Rule, Test

DRIVE: dict[MayDrive, str] = {
    "yes": "may be driven",
    "short": "to the workshop only",
    "no": "not to be driven",
}


def lessons(book: Book) -> tuple[str, ...]:
    """The lessons that rules stand in: numbers first, in their order, then others."""
    named = {rule.lesson for rule in book.rules.values() if rule.lesson}
    return tuple(sorted(named, key=lambda text: (not text.isdigit(), int(text) if text.isdigit() else 0, text)))


def cards_data(book: Book, tests: Iterable[Test] | None = None) -> dict[str, object]:
    """What the template `cards` prints: a card for each test."""
    chosen = list(book.tests.values() if tests is None else tests)
    always = [caution for caution in book.cautions.values() if caution.when == "always"]
    warned = [*always, *(c for test in chosen for c in _cautions(test, book))]
    cited = [c for test in chosen for c in test.sources] + [c for caution in warned for c in caution.sources]
    sources = Sources(book, cited)
    return {
        "title": "Tests: how each is done, and how it misleads",
        "always": [caution.text for caution in always],
        "always_from": sources.told([c for caution in always for c in caution.sources]),
        "cards": [_card(test, book, sources) for test in chosen],
        "sources": sources.listed(),
        "defers": book.defers_to,
    }


def misconceptions_data(book: Book) -> dict[str, object]:
    """What the template `misconceptions` prints."""
    found = list(book.misconceptions.values())
    sources = Sources(book, [citation for each in found for citation in each.sources])
    return {
        "title": "Believed, and not so",
        "rows": [_misconception(each, book, sources) for each in found],
        "sources": sources.listed(),
        "defers": book.defers_to,
    }


def lesson_data(book: Book, lesson: str) -> dict[str, object]:
    """What the template `lesson` prints: the lesson's rules as reasoning, with what is believed and the cautions."""
    rules = [rule for rule in book.rules.values() if rule.lesson == lesson]
    names = {rule.id for rule in rules}
    believed = [each for each in book.misconceptions.values() if names & set(each.rules)]
    asked = dict.fromkeys(name for rule in rules for name in rule.next)
    tests = [book.tests[name] for name in book.tests if name in asked]
    warned = _warned(tests, book, rules)
    cited: list[Citation] = [c for rule in rules for c in rule.sources]
    cited += [c for each in believed for c in each.sources] + [c for caution in warned for c in caution.sources]
    sources = Sources(book, cited)
    title = f"{lesson}: {book.lessons[lesson].title}" if lesson in book.lessons else lesson
    return {
        "title": f"Lesson {title}",
        "cautions": [caution.text for caution in warned],
        "cautions_from": sources.told([c for caution in warned for c in caution.sources]),
        "themes": [
            {
                "name": book.theme_label(theme),
                "rules": [_rule(rule, sources) for rule in rules if rule.theme == theme],
            }
            for theme in dict.fromkeys(rule.theme for rule in rules)
        ],
        "tests": [{"label": first_upper(t.label), "minutes": f"{t.minutes:g} min{_wait(t)}"} for t in tests],
        "believed": [_misconception(each, book, sources) for each in believed],
        "sources": sources.listed(),
        "weights": book.weights_are,
        "defers": book.defers_to,
    }


def _warned(tests: Sequence[Test], book: Book, rules: Sequence[Rule] = ()) -> list[Caution]:
    """What holds always, and what these tests, rules and the services they decide for need."""
    services = [book.services[rule.decides] for rule in rules if rule.decides]
    named = {name for part in (tests, rules, services) for each in part for name in each.cautions}
    opens = any(test.opens for test in tests)
    return [
        caution
        for caution in book.cautions.values()
        if caution.when == "always" or caution.id in named or (opens and caution.when == "opening")
    ]


def _cautions(test: Test, book: Book) -> list[Caution]:
    """Those that this test needs besides what always holds."""
    return [caution for caution in _warned([test], book) if caution.when != "always"]


def _card(test: Test, book: Book, sources: Sources) -> dict[str, object]:
    states = [f"{book.states[name].label} {value.replace('_', ' ')}" for name, value in test.needs.items()]
    spoils = [book.quantities[name].label for name in test.spoils]
    cautions = _cautions(test, book)
    return {
        "label": first_upper(test.label),
        "minutes": f"{test.minutes:g} min hands on{_wait(test)}",
        "dismantling": f"{test.dismantling:g} min of that taking apart" if test.dismantling else "",
        "tools": ", ".join(test.tools),
        "needs": ", ".join(states),
        "spoils": "; ".join(spoils),
        "steps": list(test.steps),
        "good": _good(test, book),
        "cautions": [caution.text for caution in cautions],
        "misleads": test.misleads,
        "sources": sources.told([*test.sources, *(c for caution in cautions for c in caution.sources)]),
    }


def _good(test: Test, book: Book) -> str:
    """Within which numbers a reading of this test is good; its name is left out where there is one only."""
    read = [book.quantities[name] for name in dict.fromkeys(each.quantity for each in test.yields)]
    told = {quantity.label: _limits(quantity, book) for quantity in read if not quantity.in_words}
    told = {label: limits for label, limits in told.items() if limits}
    if len(told) == 1:
        return sentence(next(iter(told.values())))
    return sentence("; ".join(f"{label} {limits}" for label, limits in told.items())) if told else ""


def _limits(quantity: Quantity, book: Book) -> str:
    families: dict[str, list[str]] = {}
    for family in book.families.values():
        families.setdefault(show_limits(quantity, [family.id]), []).append(family.label)
    if len(families) > 1:
        return "; ".join(f"{limits} for {', '.join(labels)}" for limits, labels in families.items() if limits)
    good = next(iter(families), "")
    worst = quantity.bands[-1]
    if good and quantity.combine == "worst_wins" and len(quantity.bands) > 2 and "" in worst.edges:
        return f"{good}, bad {show_range(worst.edges[''], quantity)}"
    return good


def _wait(test: Test) -> str:
    return f", {duration(test.wait)} waiting" if test.wait else ""


def _misconception(each: Misconception, book: Book, sources: Sources) -> dict[str, object]:
    return {
        "belief": each.belief,
        "truth": each.truth,
        "because": each.because,
        "rules": [f"{name} {book.rules[name].title}" for name in each.rules],
        "sources": sources.told(each.sources),
    }


def _rule(rule: Rule, sources: Sources) -> dict[str, object]:
    return {
        "id": rule.id,
        "title": rule.title,
        "because": rule.because,
        "says": rule.says,
        "drive": sentence(f"{DRIVE[rule.drive.may]}; {rule.drive.because}") if rule.drive else "",
        "limits": rule.limits,
        "sources": sources.told(rule.sources),
    }
