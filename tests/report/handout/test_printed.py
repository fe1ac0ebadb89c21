"""What comes out of the press, read back from the PDF by other programs: pages, type, fonts, the text itself."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from diagnose.report.handout import metrics
from diagnose.report.handout.lesson_sheets import lessons
from diagnose.report.handout.sheets import (
    PAPERS,
    NoGlyph,
    Sheet,
    printed,
    sheet_for_lesson,
    sheets_for_book,
    sheets_for_tree,
    texts,
)
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.rulebook.model import Book

LEAST_TYPE = 9.0
BOXES = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}
"""Points: Letter is 8.5 x 11 in; A4 is 210 x 297 mm (ISO 216)."""
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler's tools are not installed")


@pytest.fixture(scope="module")
def sheets(trees: TreeSheets, book: Book) -> dict[str, Sheet]:
    pytest.importorskip("typst")
    made = [*sheets_for_tree(trees), *sheets_for_book(book), *(sheet_for_lesson(book, n) for n in lessons(book))]
    return {sheet.name: sheet for sheet in made}


@pytest.fixture(scope="module")
def pdfs(sheets: dict[str, Sheet], book: Book, tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Path]:
    folder = tmp_path_factory.mktemp("pdf")
    found = {}
    for name, sheet in sheets.items():
        for paper in PAPERS:
            found[name, paper] = folder / f"{name}.{paper}.pdf"
            found[name, paper].write_bytes(printed(sheet, book, paper))
    return found


def _run(*command: str) -> str:
    return subprocess.run(command, check=True, capture_output=True, text=True, encoding="utf-8").stdout


def _pages(pdf: Path) -> int:
    return int(re.search(r"^Pages:\s+([0-9]+)", _run("pdfinfo", str(pdf)), re.MULTILINE)[1])  # type: ignore[index]


def test_the_same_bytes_on_two_runs(sheets: dict[str, Sheet], book: Book, pdfs: dict[tuple[str, str], Path]) -> None:
    for name, sheet in sheets.items():
        assert printed(sheet, book, "a4") == pdfs[name, "a4"].read_bytes(), name


@needs_poppler
def test_paper_language_title_and_tags(pdfs: dict[tuple[str, str], Path]) -> None:
    """PDF/UA-1 (ISO 14289-1) wants a title, a language and tags; the press refuses to make it otherwise."""
    for (name, paper), pdf in pdfs.items():
        told = _run("pdfinfo", str(pdf))
        assert re.search(r"^Tagged:\s+yes", told, re.MULTILINE), name
        assert re.search(r"^Title:\s+\S", told, re.MULTILINE), name
        size = re.search(r"^Page size:\s+([0-9.]+) x ([0-9.]+)", told, re.MULTILINE)
        assert size is not None
        assert tuple(map(float, size.groups())) == pytest.approx(BOXES[paper], abs=0.05)
        data = pdf.read_bytes()
        assert b"pdfuaid" in data
        assert b"/Lang" in data


@needs_poppler
def test_only_the_shipped_typeface_is_used(pdfs: dict[tuple[str, str], Path]) -> None:
    for pdf in pdfs.values():
        fonts = [line.split()[0] for line in _run("pdffonts", str(pdf)).splitlines()[2:]]
        assert fonts
        assert all("LiberationSans" in font for font in fonts)


@needs_poppler
def test_both_papers_break_into_the_same_pages_and_a_trees_prints_are_paged_alike(
    trees: TreeSheets, sheets: dict[str, Sheet], pdfs: dict[tuple[str, str], Path]
) -> None:
    for name in sheets:
        assert _pages(pdfs[name, "letter"]) == _pages(pdfs[name, "a4"]), name
    student, sheet, answers = (pdfs[f"{trees.graph.id}.{mode}", "a4"] for mode in ("charts", "worksheet", "answers"))
    charts = len(trees.sections) + 2  # cautions and overview come before them
    assert _pages(sheet) == _pages(answers) == charts
    for number in range(3, charts + 1):
        heads = {_text(pdf, number).split("\n")[0] for pdf in (student, sheet, answers)}
        assert len(heads) == 1
        assert next(iter(heads)).startswith("Section ")


def _text(pdf: Path, page: int) -> str:
    return _run("pdftotext", "-layout", "-f", str(page), "-l", str(page), str(pdf), "-").lstrip()


def test_no_type_is_smaller_than_9_points(pdfs: dict[tuple[str, str], Path]) -> None:
    """Measured from the PDF by pdfminer: the size of every letter on every page."""
    layout = pytest.importorskip("pdfminer.high_level")
    from pdfminer.layout import LTChar, LTContainer

    def sizes(item: object) -> list[float]:
        if isinstance(item, LTChar):
            return [item.size]
        return [size for each in item for size in sizes(each)] if isinstance(item, LTContainer) else []

    for (name, paper), pdf in pdfs.items():
        if paper == "a4" and not name.endswith((".tests", "lesson-1", "lesson-10")):  # long, and set as the others are
            found = [size for page in layout.extract_pages(pdf) for size in sizes(page)]
            assert len(found) > 1000
            assert min(found) >= LEAST_TYPE - 0.01, name


@needs_poppler
def test_every_sheet_says_title_edition_date_and_page(
    book: Book, sheets: dict[str, Sheet], pdfs: dict[tuple[str, str], Path]
) -> None:
    for (name, _), pdf in pdfs.items():
        count = _pages(pdf)
        data = sheets[name].data
        assert str(data["title"]) in " ".join(_text(pdf, 1).replace("\u00a0", " ").split()), name
        for number in {1, count}:
            lines = _text(pdf, number).replace("\u00a0", " ").rstrip().splitlines()
            foot = lines[-1]
            assert foot.startswith(f"{data.get('foot', data['title'])}. "), name
            assert f"edition {book.edition}, {book.changes[-1].date}" in foot, name
            assert foot.endswith(f"page {number} of {count}"), name


@needs_poppler
def test_exits_name_the_page_on_which_the_question_is_asked(
    trees: TreeSheets, pdfs: dict[tuple[str, str], Path]
) -> None:
    pdf = pdfs[f"{trees.graph.id}.charts", "a4"]
    exits = 0
    for number, section in enumerate(trees.sections, 3):
        told = _text(pdf, number)
        for box in section.boxes:
            if box.foot:
                page = trees.sections.index(trees.home(box.id)) + 3
                assert f"go to {box.foot}, page {page}" in told
                exits += 1
    assert exits >= 5


@needs_poppler
def test_blanks_hide_their_words_and_the_answers_show_them(
    trees: TreeSheets, sheets: dict[str, Sheet], pdfs: dict[tuple[str, str], Path]
) -> None:
    name = trees.graph.id
    sections = sheets[f"{name}.worksheet"].data["sections"]
    assert isinstance(sections, list)
    blanks = 0
    for number, section in enumerate(sections, 3):
        words = {mode: _words(_text(pdfs[f"{name}.{mode}", "a4"], number)) for mode in ("worksheet", "answers")}
        bank = section["bank"]
        assert bank == sorted(bank, key=str.casefold)
        for answer in section["answers"]:
            assert answer in bank
            assert _words(answer) <= words["answers"]
            blanks += 1
        if section["answers"]:
            assert len(bank) == len(section["answers"]) + 1
            shown = [text for box in section["boxes"] if not box["blank"] for text in texts(box)]
            assert not set(section["answers"]) & {" ".join(shown)}
    assert blanks > len(sections)


def _words(text: str) -> set[str]:
    return set(re.findall(r"\w+", text))


def test_worksheets_leave_other_boxes_blank_for_another_word(trees: TreeSheets, book: Book) -> None:
    def blanks(each: TreeSheets) -> list[object]:
        sections = each.data("worksheet")["sections"]
        assert isinstance(sections, list)
        return [section["answers"] for section in sections]

    assert blanks(TreeSheets(trees.graph, book)) == blanks(trees)
    assert blanks(TreeSheets(trees.graph, book, "again")) != blanks(trees)


def test_text_is_text_and_never_markup(trees: TreeSheets, book: Book) -> None:
    pytest.importorskip("typst")
    nasty = '#panic("x") *b* $x$ \\ <a> [b] // c @d `e` = f "g"'
    sheet = Sheet("x", "misconceptions", {"title": nasty, "rows": [], "sources": [], "defers": nasty})
    assert printed(sheet, book, "a4").startswith(b"%PDF")


def test_every_source_listed_is_cited_on_the_sheet(sheets: dict[str, Sheet]) -> None:
    for name, sheet in sheets.items():
        listed = {str(each["number"]) for each in sheet.data["sources"]} if sheet.template != "tree" else set()  # type: ignore[attr-defined]
        said = " ".join(texts({key: value for key, value in sheet.data.items() if key != "sources"}))
        assert listed <= set(re.findall(r"\[[0-9]+\]", said)), name


def test_a_lesson_prints_what_its_rules_say_of_driving_and_the_cautions_they_name(book: Book) -> None:
    for lesson in lessons(book):
        data = sheet_for_lesson(book, lesson).data
        said = " ".join(texts(data))
        for rule in (rule for rule in book.rules.values() if rule.lesson == lesson):
            assert rule.drive is None or rule.drive.because.rstrip(".") in said
            assert all(book.cautions[name].text in said for name in rule.cautions)
        assert data["title"] == f"Lesson {lesson}: {book.lessons[lesson].title}"


@needs_poppler
def test_no_card_is_lost_where_cards_are_moved_to_fill_pages(book: Book, pdfs: dict[tuple[str, str], Path]) -> None:
    told = " ".join(_run("pdftotext", str(pdfs["passenger-car.tests", "a4"]), "-").replace("\u00a0", " ").split())
    assert told.count("How it misleads:") == len(book.tests)
    for test in book.tests.values():
        assert test.label[1:] in told
        assert all(metrics.glue(step).replace("\u00a0", " ")[:60] in told for step in test.steps), test.id


def test_a_character_that_can_not_be_printed_is_named(book: Book) -> None:
    sheet = Sheet("x", "misconceptions", {"title": "Coolant 冷却", "rows": [], "sources": [], "defers": ""})
    with pytest.raises(NoGlyph, match=r"U\+51B7.*Coolant"):
        printed(sheet, book, "a4")
