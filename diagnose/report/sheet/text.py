"""A sheet as plain text that a narrow screen, a braille line or an old console can show."""

from __future__ import annotations

from collections.abc import Iterator
from functools import singledispatch

from diagnose.report.layout import WIDTH
from diagnose.report.layout import wrap as folded
from diagnose.report.sheet.model import Bar, Bars, Blanks, Block, Jobs, Points, Sheet, Table, Text

BAR = 40
BLANK = "_" * 12


def render(sheet: Sheet, width: int = WIDTH) -> str:
    """The sheet in lines of at most `width`, ending in a newline. Degrees are written out: no sign beyond ASCII."""
    lines = [*wrap(sheet.title.upper(), width), *wrap(sheet.about, width)]
    for section in sheet.sections:
        lines.append("")
        if section.title:
            lines += wrap(section.title.upper(), width)
        for block in section.blocks:
            lines += _block(block, width)
    lines += ["", *wrap(sheet.foot, width)]
    return "\n".join(lines) + "\n"


def wrap(text: str, width: int, indent: str = "") -> list[str]:
    return folded(_plain(text), width, indent)


def _plain(text: str) -> str:
    return text.replace("\u00b0C", "degC").replace("\u00a0", " ")


@singledispatch
def _block(block: Block, width: int) -> list[str]:
    raise AssertionError(f"no lines for {type(block).__name__}")


@_block.register
def _(block: Text, width: int) -> list[str]:
    return wrap(block.text, width, "  ")


@_block.register
def _(block: Points, width: int) -> list[str]:
    return [line for item in block.items for line in wrap(item, width, "  - ")]


@_block.register
def _(block: Jobs, width: int) -> list[str]:
    lines: list[str] = []
    for number, job in enumerate(block.jobs, 1):
        lines += wrap(job.title, width, f"  [ ] {number}. ")
        lines += [row for text in job.cautions for row in wrap(f"Caution: {text}", width, "        ! ")]
        lines += [row for text in job.lines for row in wrap(text, width, "        - ")]
    return lines


@_block.register
def _(block: Bars, width: int) -> list[str]:
    lines = [line for bar in block.bars for line in _bar(bar, width)]
    drawn = any(line.startswith("    ") and "#" in line for line in lines)
    return [*lines, *(wrap("In the lines: = is what is right, # is what was read.", width, "  ") if drawn else ())]


@_block.register
def _(block: Table, width: int) -> list[str]:
    """Each row as one line of 'head: cell' pairs, so that it can be read aloud and folds on a narrow screen."""
    lines: list[str] = []
    for row in block.rows:
        pairs = [f"{head}: {cell or BLANK}" for head, cell in zip(block.head, row, strict=True)]
        lines += wrap("; ".join(pairs), width, "  - ")
    return lines


@_block.register
def _(block: Blanks, width: int) -> list[str]:
    lines = [line for name in block.names for line in wrap(f"{name}: {BLANK}", width, "  ")]
    return lines + [line for tick in block.ticks for line in wrap(tick, width, "  [ ] ")]


def _bar(bar: Bar, width: int) -> Iterator[str]:
    shown = f"{bar.shown} - " if bar.shown else ""
    right = f" (right: {bar.limits})" if bar.limits and bar.limits != bar.word else ""
    yield from wrap(f"{bar.label}: {shown}{bar.word}{right}", width, "  ")
    if bar.good is None or bar.reading is None:
        return
    size = min(BAR, width - 6 - sum(len(_plain(end)) for end in bar.scale))
    if size < 10:
        return
    cells = ["." if not bar.good[0] <= (n + 0.5) / size <= bar.good[1] else "=" for n in range(size)]
    first, last = (min(size - 1, int(end * size)) for end in bar.reading)
    cells[first : last + 1] = "#" * (last + 1 - first)
    yield _plain(f"    {bar.scale[0]} {''.join(cells)} {bar.scale[1]}")
