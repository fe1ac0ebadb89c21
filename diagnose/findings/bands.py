"""How much of an interval lies in each band of a quantity, for one family and for a mix of families."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf

from diagnose.findings.model import Interval
from diagnose.rulebook.model import Band, Edges, Quantity


def band_shares(interval: Interval, quantity: Quantity, family: str, one_sided: bool = False) -> tuple[float, ...]:
    """The share of `interval` in each band for one family, in band order; they sum to 1.

    An interval without width falls into exactly one band. Where one end is open (`one_sided`, as in
    '> 25 gpg') the far end is only the edge of what is possible and the interval has no length to share
    out: it tells which bands are excluded, and the others count alike.
    All zeros where the family has no bands for this quantity.
    """
    edges = [edges_for(band, family) for band in quantity.bands]
    if interval.low == interval.high:
        return tuple(1.0 if edge is not None and _holds(edge, interval.low) else 0.0 for edge in edges)
    inside = [0.0 if edge is None else _overlap(interval, edge) for edge in edges]
    return scaled([float(length > 0) for length in inside] if one_sided else inside)


def family_shares(
    interval: Interval, quantity: Quantity, families: Iterable[str], one_sided: bool = False
) -> dict[str, tuple[float, ...]]:
    """band_shares for each family; reckoned once where the bands don't hang on it."""
    if quantity.by_family:
        return {family: band_shares(interval, quantity, family, one_sided) for family in families}
    return dict.fromkeys(families, band_shares(interval, quantity, "", one_sided))


def mixed(by_family: Mapping[str, tuple[float, ...]], families: Mapping[str, float]) -> tuple[float, ...]:
    """Shares mixed by how likely each family is."""
    shares = list(by_family.values())
    first = shares[0]
    if 1.0 in first and first.count(0.0) == len(first) - 1 and shares.count(first) == len(shares):
        return first  # one band, whatever the family
    rows = [[families[family] * share for share in shares] for family, shares in by_family.items()]
    return scaled([sum(column) for column in zip(*rows, strict=True)])


def scaled(amounts: list[float]) -> tuple[float, ...]:
    """Amounts as shares that sum to 1 (all zeros stay so)."""
    total = sum(amounts)
    return tuple([amount / total for amount in amounts]) if total else (0.0,) * len(amounts)


def edges_for(band: Band, family: str) -> Edges | None:
    """The band's interval for a family; None where it is empty or the band is told in words."""
    return band.edges.get(family) or band.edges.get("")


def _overlap(interval: Interval, edge: Edges) -> float:
    return max(0.0, min(interval.high, edge.high) - max(interval.low, edge.low))


def _holds(edge: Edges, value: float) -> bool:
    above = value > edge.low or (value == edge.low and edge.low_in) or edge.low == -inf
    below = value < edge.high or (value == edge.high and edge.high_in) or edge.high == inf
    return above and below
