"""A sheet as one HTML file that needs nothing else: no script, no font, no picture from elsewhere."""

from __future__ import annotations

from functools import singledispatch
from html import escape
from importlib.resources import files

from diagnose.report.sheet.model import Bar, Bars, Blanks, Block, Job, Jobs, Points, Sheet, Table, Text

MARK = {"right": "in order", "low": "too low", "high": "too high", "wrong": "not in order", "unclear": "not clear yet"}


def render(sheet: Sheet) -> str:
    """The page, ending in a newline. It has a light and a dark look and one for paper."""
    style = (files("diagnose.report.sheet") / "sheet.css").read_text(encoding="utf-8")
    parts = [
        "<!DOCTYPE html>",
        f'<html lang="{escape(sheet.language)}">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="color-scheme" content="light dark">',
        f"<title>{escape(sheet.title)}</title>",
        f"<style>\n{style}</style>",
        "</head>",
        "<body>",
        f"<header><h1>{escape(sheet.title)}</h1><p>{escape(sheet.about)}</p></header>",
        "<main>",
    ]
    for number, section in enumerate(sheet.sections):
        named = (
            f' aria-labelledby="s{number}"' if section.title else ' aria-label="To be filled in"' if not number else ""
        )
        parts.append(f"<section{named}>" if named else "<div>")
        if section.title:
            parts.append(f'<h2 id="s{number}">{escape(section.title)}</h2>')
        parts += [_block(block) for block in section.blocks]
        parts.append("</section>" if named else "</div>")
    parts += ["</main>", f"<footer><p>{escape(sheet.foot)}</p></footer>", "</body>", "</html>"]
    return "\n".join(parts) + "\n"


@singledispatch
def _block(block: Block) -> str:
    raise AssertionError(f"no markup for {type(block).__name__}")


@_block.register
def _(block: Text) -> str:
    return f"<p>{f'<strong>{escape(block.text)}</strong>' if block.strong else escape(block.text)}</p>"


@_block.register
def _(block: Points) -> str:
    return "<ul>\n" + "\n".join(f"<li>{escape(item)}</li>" for item in block.items) + "\n</ul>"


@_block.register
def _(block: Jobs) -> str:
    return '<ol class="jobs">\n' + "\n".join(_job(job) for job in block.jobs) + "\n</ol>"


def _job(job: Job) -> str:
    cautions = "".join(f'<p class="caution"><strong>Caution:</strong> {escape(text)}</p>' for text in job.cautions)
    lines = "".join(f"<li>{escape(line)}</li>" for line in job.lines)
    return f"<li><p>{escape(job.title)}</p>{cautions}{f'<ul>{lines}</ul>' if lines else ''}</li>"


@_block.register
def _(block: Bars) -> str:
    key = '<p class="right" aria-hidden="true">In the lines: the field is what is right, the mark what was read.</p>'
    drawn = any(bar.good is not None and bar.reading is not None for bar in block.bars)
    return '<ul class="bars">\n' + "\n".join(_bar(bar) for bar in block.bars) + "\n</ul>" + (key if drawn else "")


def _bar(bar: Bar) -> str:
    value = f'<span class="value">{escape(bar.shown)}</span> ' if bar.shown else ""
    said = f'<p><span class="name">{escape(bar.label)}</span>: {value}<strong>{escape(bar.word)}</strong></p>'
    right = f'<p class="right">{MARK[bar.verdict]}{f"; right: {escape(bar.limits)}" if bar.limits else ""}</p>'
    return f'<li class="{bar.verdict}">{said}{_line(bar)}{right}</li>'


def _line(bar: Bar) -> str:
    """The drawn line says nothing that the words do not say: it is kept from readers of the screen."""
    if bar.good is None or bar.reading is None:
        return ""
    good_at, good_wide = 300 * bar.good[0], 300 * (bar.good[1] - bar.good[0])
    at, wide = 300 * bar.reading[0], max(4.0, 300 * (bar.reading[1] - bar.reading[0]))
    at = min(at, 300 - wide)
    return (
        '<svg aria-hidden="true" viewBox="0 0 304 30" class="line">'
        f'<rect class="scale" x="1" y="8" width="302" height="8"/>'
        f'<rect class="good" x="{2 + good_at:.1f}" y="8" width="{good_wide:.1f}" height="8"/>'
        f'<rect class="read" x="{2 + at:.1f}" y="3" width="{wide:.1f}" height="18"/>'
        f'<text x="2" y="29">{escape(bar.scale[0])}</text>'
        f'<text x="302" y="29" text-anchor="end">{escape(bar.scale[1])}</text></svg>'
    )


@_block.register
def _(block: Table) -> str:
    head = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in block.head)
    rows = "\n".join(
        "<tr>" + f'<th scope="row">{escape(row[0])}</th>' + "".join(f"<td>{escape(c)}</td>" for c in row[1:]) + "</tr>"
        if row[0]
        else "<tr>" + "".join(f"<td>{escape(c)}</td>" for c in row) + "</tr>"
        for row in block.rows
    )
    label = escape(", ".join(block.head))
    return (
        f'<section class="table" aria-label="{label}" tabindex="0">'
        f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table></section>"
    )


@_block.register
def _(block: Blanks) -> str:
    names = "".join(f"<div><dt>{escape(name)}</dt><dd></dd></div>" for name in block.names)
    ticks = "".join(f'<li><span class="box" aria-hidden="true"></span> {escape(tick)}</li>' for tick in block.ticks)
    return f'<dl class="blanks">{names}</dl>' + (f'<ul class="ticks">{ticks}</ul>' if ticks else "")
