"""The trade's positions that litres and protection are reckoned from."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.rulebook.model.common import Amount, Citation
from diagnose.yamlfile import Place


class Draining(NamedTuple):
    """A way of draining; `stays` is the share of the capacity that stays inside, least and most, 0 to 1.

    `id` is a band of the given `drained_how`, where the book has it.
    """

    id: str
    label: str
    stays: tuple[float, float]
    sources: tuple[Citation, ...]
    place: Place


class Reckoning(NamedTuple):
    """The trade's positions that litres and protection are reckoned from.

    `target` and `premix` in vol %, `most_old` (of the old coolant, left at the end) and
    `water_in_concentrate` in %, `boiling_margin` in K, `hot` and `cold` in degC, `measure` (the smallest
    amount that can be measured) and `containers` in L. `draining` stands in order of preference.
    `no_scale_reads` names causes that make every reading of the mixture worthless.
    """

    target: Amount
    most_old: Amount
    water_in_concentrate: Amount
    premix: Amount
    boiling_margin: Amount
    hot: Amount
    cold: Amount
    measure: Amount
    containers: tuple[Amount, ...]
    draining: tuple[Draining, ...]
    no_scale_reads: tuple[str, ...]
    place: Place
