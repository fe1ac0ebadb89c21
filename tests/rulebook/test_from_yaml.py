"""A folder of YAML to a Book: what stands in the files is what the book says."""

from __future__ import annotations

import subprocess
import sys
from math import inf
from pathlib import Path

import pytest

from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book, Change, Condition, Edges, Excuse
from diagnose.rulebook.words import percentage
from diagnose.yamlfile import Place

SMALL = Path(__file__).parent.parent / "books" / "small"


@pytest.fixture(scope="module")
def book() -> Book:
    return read_book(SMALL, "small")


def test_head(book: Book) -> None:
    assert (book.id, book.edition, book.language) == ("small", "1", "en")
    assert book.not_in_book.value == pytest.approx(0.02)
    assert book.how_often.words[0] == ("hardly ever", pytest.approx(0.03))
    assert book.how_common.value("very common") == pytest.approx(0.2)
    assert book.how_common.value("often") is None
    assert book.changes == (Change("1", "2026-11-24", "first edition", Place("small/rulebook.yaml", 22, 5)),)
    assert list(book.states) == ["engine", "cap"]


def test_quantities(book: Book) -> None:
    roles = {name: quantity.role for name, quantity in book.quantities.items()}
    assert roles["ph"] == "reading"
    assert roles["cleaner_used"] == "given"
    assert roles["reserve_share"] == "derived"
    assert roles["loss"] == "pattern"
    ph = book.quantities["ph"]
    assert ph.healthy == pytest.approx({"acid": 0.002, "low": 0.008, "good": 0.982, "high": 0.008})
    assert (ph.combine, ph.cancel, ph.moves_together) == ("balance", 0.5, "inhibitors")
    assert [method.plus_minus for method in ph.methods] == [0.5, 0.1]
    assert ph.methods[0].fooled_by == ("pad_spoiled",)
    assert not ph.in_words
    level = book.quantities["level"]
    assert level.in_words
    assert level.possible == (-inf, inf)
    assert level.bands[0].also_called == ("ok", "full")
    # 'customer' is left out there, so what the technician reads stands in.
    assert level.bands[0].customer == "at the mark"
    assert book.quantities["mixture"].bands[1].edges == {"": Edges(40, 60, True, True)}
    assert book.quantities["coldest_expected"].bands[0].edges == {"": Edges(-60, inf, True, False)}


def test_derived(book: Book) -> None:
    share = book.quantities["reserve_share"]
    assert share.instead_of == ("reserve_alkalinity",)
    assert share.formula is not None
    assert share.formula.operator == "ratio"
    first, second = share.formula.terms
    assert (first.name, first.by, first.over) == ("reserve_alkalinity", "", 1)
    assert (second.name, second.by, second.over) == ("family.reserve_new_at_50", "mixture", 50)


def test_causes_tests_and_rules(book: Book) -> None:
    (arc,) = book.causes["leak"].leads_to
    assert (arc.cause, arc.how_often.text, arc.how_often.value) == ("diluted", "usually", 0.75)
    assert book.causes["pad_spoiled"].kind == "misread"
    priors = book.causes["acid_residue"].prior_when
    assert [(prior.when[0].bands, prior.how_common.value) for prior in priors] == [(("acid",), 0.3), (("none",), 0.005)]
    assert book.tests["ph_meter"].opens
    assert not book.tests["look_at_level"].opens
    rule = book.rules["PH-3"]
    assert rule.theme == "ph"
    assert rule.when == (Condition("ph", ("low",), Place("small/rules/ph.yaml", 22, 12)),)
    assert [(link.cause, link.how_often.value) for link in rule.seen_with] == [("worn", 0.3), ("gas", 0.15)]
    assert rule.fires[0].readings[0][:2] == ("ph", "8.0")
    assert list(book.services)[:2] == ["measure_again", "replace"]


def test_every_entry_knows_its_place(book: Book) -> None:
    for entries in (book.sources, book.families, book.quantities, book.causes, book.tests, book.services, book.rules):
        for name, entry in entries.items():
            line = (SMALL.parent / entry.place.file).read_text(encoding="utf-8").splitlines()[entry.place.line - 1]
            assert f"id: {name}" in line
            assert line[entry.place.column - 1 :].startswith(("id:", "{id:"))


def test_excuses_are_kept(tmp_path: Path) -> None:
    folder = tmp_path / "small"
    folder.mkdir()
    for path in SMALL.rglob("*.yaml"):
        (folder / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    rules = folder / "ph.yaml"
    excuse = "    excused: [{check: no-case, because: nobody has sent one, date: 2026-11-24}]\n"
    rules.write_text(rules.read_text().replace("    next: [titrate]\n", "    next: [titrate]\n" + excuse))
    read = read_book(folder, "small")
    assert read.excused == (
        Excuse("rule", "PH-3", "no-case", "nobody has sent one", "2026-11-24", Place("small/ph.yaml", 25, 15)),
    )
    assert read.rules["PH-3"].theme == "ph"


def test_files_may_be_split_in_any_way(tmp_path: Path, book: Book) -> None:
    folder = tmp_path / "small"
    folder.mkdir()
    parts = [path.read_text(encoding="utf-8") for path in sorted(SMALL.rglob("*.yaml"), reverse=True)]
    (folder / "rulebook.yaml").write_text("".join(parts), encoding="utf-8")
    whole = read_book(folder)
    assert list(whole.causes) == list(book.causes)
    assert list(whole.rules) == list(book.rules)
    assert whole.quantities["ph"].healthy == book.quantities["ph"].healthy


@pytest.mark.parametrize(
    ("text", "share"),
    [("12 %", 0.12), ("12%", 0.12), (" 0.5 % ", 0.005), (".5 %", 0.005), ("100 %", 1.0), ("12", None), ("12 %%", None),
     ("-1 %", None), ("1e2 %", None), ("٣ %", None), ("", None), ("%", None)],
)  # fmt: skip
def test_percentages(text: str, share: float | None) -> None:
    assert percentage(text) == (None if share is None else pytest.approx(share))


def test_reading_keeps_clear_of_heavy_libraries() -> None:
    """Reading a book must not bring in what only later stages need; a book is read at every start."""
    program = (
        "import sys; from diagnose.rulebook.from_yaml import read_book; from pathlib import Path; "
        f"read_book(Path({str(SMALL)!r})); "
        "print(sorted({'numpy', 'networkx', 'durable', 'click', 'difflib', 'asyncio'} & set(sys.modules)))"
    )
    top = SMALL.parents[2]
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=top)
    assert done.stdout.strip() == "[]"
