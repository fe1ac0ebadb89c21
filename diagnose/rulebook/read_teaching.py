"""What a class is given: lessons, names of themes, the order of cards, and what is believed and isn't so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import PurePosixPath

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import CardGroup, Lesson, Misconception, plain_label
from diagnose.rulebook.parts import read_citations, read_excuses, refuse_empty
from diagnose.yamlfile import Node, Problems, Record, did_you_mean, short

MAX_LESSON, MAX_THEME = 60, 32
"""Characters of a lesson's title and of a theme's label."""


def read_lesson(record: Record, known: Known, themes: Mapping[str, str]) -> Lesson:
    """`themes` are the themes of the book by the names that they have on paper."""
    lesson = Lesson(record.ident(), _short(record, "title", MAX_LESSON), record.place, _themes(record, known, themes))
    read_excuses(record, known, "lesson", lesson.id)
    return lesson


def _themes(record: Record, known: Known, themes: Mapping[str, str]) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for node in record.texts("themes"):
        label = node.text.strip()
        if label not in themes and known.complete:
            hint = did_you_mean(label, themes, f"themes are, as they are printed: {', '.join(sorted(themes))}")
            known.problems.add(node.place, "unknown-name", f"no theme is called '{short(label)}'", hint)
        elif themes.get(label, label) in found:
            known.problems.add(node.place, "listed-twice", f"'{label}' stands twice in this list", "delete one")
        else:
            found[themes.get(label, label)] = None
    return tuple(found)


def themes_by_label(rules: Iterable[Node], labels: Mapping[str, str]) -> dict[str, str]:
    """The themes of these rules by the names that they have on paper."""
    found = dict.fromkeys(theme_of(rule.place.file) for rule in rules)
    return {labels.get(theme) or plain_label(theme): theme for theme in found}


def read_card_group(record: Record, known: Known, taken: set[str]) -> CardGroup:
    """`taken` are the tests of the groups before, and grows by those of this one."""
    nodes = record.texts("tests", required=True)
    tests = known.names("test", nodes)
    if not tests and record.has("tests"):
        refuse_empty(record, "tests")
    for name in taken.intersection(tests):
        place = next(node.place for node in nodes if node.text.strip() == name)
        says = f"the card of '{name}' stands in two groups"
        known.problems.add(place, "listed-twice", says, "delete it from one of them")
    taken.update(tests)
    return CardGroup(_short(record, "title", MAX_LESSON), tests, record.place)


@lru_cache(maxsize=256)
def theme_of(file: str) -> str:
    """The theme of the rules in this file: its name."""
    return PurePosixPath(file).stem


def read_themes(nodes: Iterable[Node], rules: Iterable[Node], problems: Problems) -> dict[str, str]:
    """Labels by theme; each must stand in a file with rules, and once for files of one name."""
    files = {rule.place.file for rule in rules}
    found: dict[str, str] = {}
    for node in nodes:
        record = Record(node, problems, "theme")
        label = _short(record, "label", MAX_THEME)
        record.done()
        theme = theme_of(node.place.file)
        if node.place.file not in files:
            says = f"this file names the theme '{theme}' and holds no rules"
            problems.add(node.place, "theme-without-rules", says, "move it to the file that holds the rules")
        elif theme in found:
            says = f"the theme '{theme}' is named twice, in files of one name"
            problems.add(node.place, "duplicate-key", says, "keep one, or give the files names of their own")
        found.setdefault(theme, label)
    return found


def _short(record: Record, key: str, most: int) -> str:
    text = record.text(key)
    if len(text) > most:
        says = f"the {key} has {len(text)} characters, more than {most}"
        record.problems.add(record.place_of(key), "too-long", says, "it must fit on one line of a handout")
    return text


def read_misconception(record: Record, known: Known) -> Misconception:
    name = record.ident()
    rules = known.names("rule", record.texts("rules", required=True))
    if not rules and record.has("rules"):
        refuse_empty(record, "rules")
    found = Misconception(
        id=name,
        belief=record.text("belief"),
        truth=record.text("truth"),
        because=record.text("because"),
        rules=rules,
        sources=read_citations(record, known, required=True),
        place=record.place,
    )
    read_excuses(record, known, "misconception", name)
    return found
