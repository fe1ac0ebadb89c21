"""What a job prints: the answer, then each step of the arithmetic, then what to bear in mind."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Iterable, Sequence
from functools import wraps
from shutil import get_terminal_size

import click

from diagnose.cli.mix.amounts import Refused
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, figure
from diagnose.report.layout import WIDTH, bullets, wrap

FORMAT = 1
_DECIMALS = {
    "vol %": 1, "mass %": 1, "%": 1, "degC": 1, "degF": 1, "K": 1, "kPa": 1, "psi": 1, "bar": 2,
    "nD": 4, "g/mL": 4, "SG": 3, "Brix": 1, "mg/L": 1, "gpg": 2, "L": 2, "qt": 2, "gal": 2, "mL": 0, "m": 0,
}  # fmt: skip


@dataclasses.dataclass(frozen=True, slots=True)
class Page:
    """`answer` comes first; `steps` are groups with a heading (empty for the only one); `result` goes into JSON."""

    answer: Sequence[str]
    steps: Sequence[tuple[str, Sequence[Step]]]
    result: object
    notes: Sequence[str] = ()
    cautions: Sequence[str] = ()


def job(command: Callable[..., Page]) -> Callable[..., None]:
    """Print the page a job returns in the form asked for; what can't be becomes one sentence and exit code 2."""

    @click.option("--as", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
                  help="The form of the result.")  # fmt: skip
    @wraps(command)
    def run(*, form: str, **given: object) -> None:
        try:
            page = command(**given)
        except Impossible as error:
            raise Refused(str(error)) from None
        click.echo(as_json(page) if form == "json" else as_text(page), nl=False)

    return run


def as_text(page: Page) -> str:
    width = min(WIDTH, get_terminal_size((WIDTH, 24)).columns)
    lines = [line for says in page.answer for line in wrap(says, width, "", "  ")]
    if any(steps for _, steps in page.steps):
        lines += ["", "HOW IT IS RECKONED"]
        for heading, steps in page.steps:
            if heading:
                lines += wrap(f"{heading}:", width, "  ")
            lines += [line for number, step in enumerate(steps, 1) for line in wrap(said(step), width, f"  {number}  ")]
    if page.notes:
        lines += ["", "TO BEAR IN MIND", *bullets(page.notes, width)]
    if page.cautions:
        lines += ["", "CAUTIONS", *bullets(page.cautions, width)]
    return "\n".join(lines) + "\n"


def as_json(page: Page) -> str:
    """`steps` of the arithmetic stand inside `result`; numbers keep ten figures."""
    content = {
        "format": FORMAT,
        "answer": list(page.answer),
        "result": _plain(page.result),
        "notes": list(page.notes),
        "cautions": list(page.cautions),
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def said(step: Step) -> str:
    return f"{step.label}: {step.formula} = {shown(step.result)}"


def shown(measure: Measure, interval: bool = True) -> str:
    """'44.0 vol % (43.2 to 44.8)', or without the interval where the value is exact."""
    text = f"{_number(measure.value, measure.unit)} {measure.unit}".strip()
    low, high = _number(measure.low, measure.unit), _number(measure.high, measure.unit)
    return text if low == high or not interval else f"{text} ({low} to {high})"


def both_degrees(measure: Measure) -> str:
    """'-29.2 degC (-20.6 degF)'."""
    return f"{measure.value:.1f} degC ({measure.value * 1.8 + 32:.1f} degF)"


def to_spare(margin: Measure) -> str:
    """'1.2 K (0.2 to 2.2) to spare', or '8.3 K (7.3 to 8.9) short'."""
    if margin.value >= 0.0:
        return f"{shown(margin)} to spare"
    return f"{shown(Measure(-margin.value, -margin.high, -margin.low, margin.unit))} short"


def amount(value: float, unit: str) -> str:
    return f"{_number(value, unit)} {unit}"


def first_upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def listed(items: Iterable[str]) -> str:
    """'a, b and c'."""
    *most, last = items
    return f"{', '.join(most)} and {last}" if most else last


def _number(value: float, unit: str) -> str:
    decimals = _DECIMALS.get(unit)
    if decimals is None:
        return figure(value)
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def _plain(value: object) -> object:
    if isinstance(value, float):
        return float(f"{value:.10g}")
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return _plain(value._asdict())
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    return value
