"""Sheets for the class that need no tree: one card a test, misconceptions, and the rules of one lesson."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.plan.wording import duration, first_lower, first_upper, join, sentence
from diagnose.report.handout.citing import Sources
from diagnose.report.handout.told import told_good, told_when
from diagnose.rulebook.model import Book, Caution, Citation, MayDrive, Misconception, Rule, Service, Test

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
        "bans": [
            {"title": first_upper(title), "cars": sentence("; or ".join(_when_first_lower(r, book) for r in rules))}
            for title, rules in _bans(book).items()
        ],
        "groups": [
            {"title": title, "cards": [_card(test, book, sources) for test in tests]}
            for title, tests in _grouped(chosen, book)
        ],
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


def _grouped(tests: Sequence[Test], book: Book) -> list[tuple[str, list[Test]]]:
    """The tests under the headings of the book, in its order; the rest last."""
    names = {test.id for test in tests}
    groups = [(group.title, [book.tests[name] for name in group.tests if name in names]) for group in book.cards]
    listed = {name for group in book.cards for name in group.tests}
    rest = [test for test in tests if test.id not in listed]
    groups.append(("Other tests" if groups else "", rest))
    return [(title, found) for title, found in groups if found]


def lesson_data(book: Book, lesson: str) -> dict[str, object]:
    """What the template `lesson` prints: the lesson's rules as reasoning, with what is believed and the cautions.

    Cautions that hold throughout stand first, the others with the rules, tests and decisions that name them.
    """
    rules = [rule for rule in book.rules.values() if rule.lesson == lesson]
    names = {rule.id for rule in rules}
    believed = [each for each in book.misconceptions.values() if names & set(each.rules)]
    asked = dict.fromkeys(name for rule in rules for name in rule.next)
    tests = [book.tests[name] for name in book.tests if name in asked]
    services = [book.services[name] for name in dict.fromkeys(rule.decides for rule in rules if rule.decides)]
    warned = [book.cautions[name] for part in (tests, rules, services) for each in part for name in each.cautions]
    always = _cautions_when("always", book)
    opening = _cautions_when("opening", book) if any(test.opens for test in tests) else []
    head = [*always, *opening]
    cited: list[Citation] = [c for rule in rules for c in rule.sources]
    cited += [c for each in believed for c in each.sources]
    cited += [c for caution in (*head, *warned) for c in caution.sources]
    sources = Sources(book, cited)
    title = f"{lesson}: {book.lessons[lesson].title}" if lesson in book.lessons else lesson
    first = book.lessons[lesson].themes if lesson in book.lessons else ()
    here = dict.fromkeys(rule.theme for rule in rules)
    later = [c for c in _each_once(warned) if c not in head]
    return {
        "title": f"Lesson {title}",
        "always": [caution.text for caution in always],
        "opening": [caution.text for caution in opening],
        "cautions_from": sources.told([c for caution in head for c in caution.sources]),
        "themes": [
            {
                "name": book.theme_label(theme),
                "rules": [_rule(rule, book, sources, head) for rule in rules if rule.theme == theme],
            }
            for theme in dict.fromkeys([*(theme for theme in first if theme in here), *here])
        ],
        "tests": [
            {"label": f"{number}. {first_upper(test.label)}", "minutes": f"{test.minutes:g} min{_wait(test)}"}
            for number, test in enumerate(tests, 1)
        ],
        "tests_need": _tests_need(tests, later),
        "decisions_need": _decisions_need(services, later),
        "needs_from": sources.told(
            [c for part in (tests, services) for each in part for c in _sources_of(each.cautions, later)]
        ),
        "believed": [_misconception(each, book, sources, lesson) for each in believed],
        "sources": sources.listed(),
        "weights": book.weights_are,
        "defers": book.defers_to,
    }


def _cautions_when(when: str, book: Book) -> list[Caution]:
    return [caution for caution in book.cautions.values() if caution.when == when]


def _each_once(cautions: Iterable[Caution]) -> list[Caution]:
    return list({caution.id: caution for caution in cautions}.values())


def _sources_of(names: Sequence[str], cautions: Sequence[Caution]) -> list[Citation]:
    return [citation for caution in cautions if caution.id in names for citation in caution.sources]


def _tests_need(tests: Sequence[Test], cautions: Sequence[Caution]) -> list[str]:
    """Each caution with the numbers of the tests that name it."""
    told = []
    for caution in cautions:
        numbers = [str(number) for number, test in enumerate(tests, 1) if caution.id in test.cautions]
        if numbers:
            told.append(f"Test{'s' if len(numbers) > 1 else ''} {join(numbers)}: {caution.text}")
    return told


def _decisions_need(services: Sequence[Service], cautions: Sequence[Caution]) -> list[str]:
    """Each caution with the decisions that name it."""
    told = []
    for caution in cautions:
        labels = [service.label for service in services if caution.id in service.cautions]
        if labels:
            told.append(f"{first_upper('; '.join(labels))}: {caution.text}")
    return told


def _cautions(test: Test, book: Book) -> list[Caution]:
    """Those that this test needs besides what always holds."""
    return [
        caution
        for caution in book.cautions.values()
        if caution.when != "always" and (caution.id in test.cautions or (test.opens and caution.when == "opening"))
    ]


def _card(test: Test, book: Book, sources: Sources) -> dict[str, object]:
    states = [f"{book.states[name].label} {value.replace('_', ' ')}" for name, value in test.needs.items()]
    spoils = [book.quantities[name].label for name in test.spoils]
    cautions = _cautions(test, book)
    return {
        "id": test.id,
        "label": first_upper(test.label),
        "minutes": f"{test.minutes:g} min hands on{_wait(test)}",
        "dismantling": f"{test.dismantling:g} min of that taking apart" if test.dismantling else "",
        "tools": ", ".join(test.tools),
        "first": "; ".join(book.quantities[name].label for name in test.first),
        "not_on": [sentence(told_when(each, book)) for each in test.not_on],
        "banned": [first_upper(title) for title, rules in _bans(book).items() if _is_banned(test, rules)],
        "needs": ", ".join(states),
        "spoils": "; ".join(spoils),
        "steps": list(test.steps),
        "good": told_good(test, book),
        "cautions": [caution.text for caution in cautions],
        "misleads": test.misleads,
        "sources": sources.told([*test.sources, *(c for caution in cautions for c in caution.sources)]),
    }


def _bans(book: Book) -> dict[str, list[Rule]]:
    """Which tests are forbidden on some cars, in words, with the rules that forbid them."""
    found: dict[str, list[Rule]] = {}
    for rule in book.rules.values():
        for title in _ban_titles(rule, book):
            found.setdefault(title, []).append(rule)
    return found


def _when_first_lower(rule: Rule, book: Book) -> str:
    return first_lower(told_when(rule.when, book))


def _ban_titles(rule: Rule, book: Book) -> list[str]:
    ban = rule.forbids
    if ban is None:
        return []
    told = [f"no test with the {book.states[part].label} {value.replace('_', ' ')}" for part, value in ban.states]
    return [*(["no test at all"] if ban.everything else []), *told]


def _is_banned(test: Test, rules: Sequence[Rule]) -> bool:
    """Whether the rules of one ban forbid the test; that nothing is tested stands at the head of the cards alone."""
    states = {*test.needs.items(), *test.leaves.items()}
    bans = [rule.forbids for rule in rules if rule.forbids is not None and not rule.forbids.everything]
    return any(test.id in ban.tests or not states.isdisjoint(ban.states) for ban in bans)


def _wait(test: Test) -> str:
    return f", {duration(test.wait)} waiting" if test.wait else ""


def _misconception(each: Misconception, book: Book, sources: Sources, lesson: str = "") -> dict[str, object]:
    """Rules of another lesson than `lesson` are named with theirs."""
    rules = [book.rules[name] for name in each.rules]
    return {
        "belief": each.belief,
        "truth": each.truth,
        "because": each.because,
        "rules": [f"{rule.id} {rule.title}{_elsewhere(rule, lesson)}" for rule in rules],
        "sources": sources.told(each.sources),
    }


def _elsewhere(rule: Rule, lesson: str) -> str:
    return f" (lesson {rule.lesson})" if rule.lesson and rule.lesson != lesson else ""


def _rule(rule: Rule, book: Book, sources: Sources, told: Sequence[Caution]) -> dict[str, object]:
    """With the cautions that it names, those `told` already left out."""
    cautions = [book.cautions[name] for name in rule.cautions if book.cautions[name] not in told]
    return {
        "id": rule.id,
        "title": rule.title,
        "when": sentence(told_when(rule.when, book)),
        "because": rule.because,
        "says": rule.says,
        "first": sentence(first_upper(join([book.quantities[name].label for name in rule.first])))
        if rule.first
        else "",
        "drive": sentence(f"{DRIVE[rule.drive.may]}; {rule.drive.because}") if rule.drive else "",
        "forbids": sentence(first_upper(" and ".join(_ban_titles(rule, book)))) if _ban_titles(rule, book) else "",
        "limits": rule.limits,
        "cautions": [caution.text for caution in cautions],
        "sources": sources.told([*rule.sources, *(c for caution in cautions for c in caution.sources)]),
    }
