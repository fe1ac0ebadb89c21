"""A sheet as a PDF on A4 or Letter."""

from __future__ import annotations

from importlib.resources import files

from diagnose.report.layout import glued
from diagnose.report.paper.press import press
from diagnose.report.paper.signs import with_signs
from diagnose.report.sheet.model import Bar, Bars, Blanks, Block, Job, Jobs, Points, Sheet, Table, Text

PAPERS = {"a4": "a4", "letter": "us-letter"}


def render(sheet: Sheet, paper: str = "a4") -> bytes:
    """The sheet as a tagged PDF with fixed bytes. `paper` is one of PAPERS. Raises NoPress."""
    source = (files("diagnose.report.paper") / "sheet.typ").read_text(encoding="utf-8")
    return press(source, _signed(data(sheet)), {"paper": PAPERS[paper]})


def _signed(value: object) -> object:
    """The same with units as they are printed."""
    if isinstance(value, str):
        return with_signs(value)
    if isinstance(value, dict):
        return {key: _signed(each) for key, each in value.items()}
    return [_signed(each) for each in value] if isinstance(value, list | tuple) else value


def data(sheet: Sheet) -> dict[str, object]:
    """The sheet as the template takes it."""
    return {
        "title": sheet.title,
        "about": sheet.about,
        "language": sheet.language,
        "foot": sheet.foot,
        "sections": [
            {"title": section.title, "blocks": [_block(block) for block in section.blocks]}
            for section in sheet.sections
        ],
    }


def _block(block: Block) -> dict[str, object]:
    match block:
        case Text():
            return {"kind": "text", "text": glued(block.text), "strong": block.strong}
        case Points():
            return {"kind": "points", "items": [glued(item) for item in block.items]}
        case Jobs():
            jobs = [_job(job) for job in block.jobs]
            return {"kind": "jobs", "jobs": jobs}
        case Bars():
            return {"kind": "bars", "bars": [_bar(bar) for bar in block.bars]}
        case Table():
            return {
                "kind": "table",
                "head": list(block.head),
                "rows": [[glued(cell) for cell in row] for row in block.rows],
            }
        case Blanks():
            return {"kind": "blanks", "names": list(block.names), "ticks": list(block.ticks)}


def _job(job: Job) -> dict[str, object]:
    told = {"lines": job.lines, "cautions": job.cautions}
    return {"title": glued(job.title), **{name: [glued(text) for text in texts] for name, texts in told.items()}}


def _bar(bar: Bar) -> dict[str, object]:
    return {
        "label": bar.label,
        "shown": bar.shown,
        "word": bar.word,
        "right": bar.verdict == "right",
        "limits": bar.limits,
        "scale": list(bar.scale),
        "good": list(bar.good) if bar.good is not None else None,
        "reading": list(bar.reading) if bar.reading is not None else None,
    }
