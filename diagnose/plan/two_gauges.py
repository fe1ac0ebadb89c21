"""What a refractometer and a hydrometer on one sample say together about the glycol."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.fluid.freezing import TOP_OF_SCALE
from diagnose.fluid.gauges import Gauges, compare
from diagnose.fluid.measure import Measure
from diagnose.plan.known import MIXTURE, Known
from diagnose.plan.protection import on_scale


def gauges(known: Known) -> Gauges | None:
    """Both readings compared; None unless both were taken and stand on the scale of ethylene glycol."""
    finding = known.findings.get(MIXTURE)
    if finding is None or known.glycols != ("ethylene",):
        return None
    read: dict[str, Measure] = {}
    for reading in finding.readings:
        method = finding.quantity.method(reading.method)
        if method is not None and method.instrument and reading.interval is not None:
            low, high = reading.interval.low, reading.interval.high
            read[method.instrument] = Measure((low + high) / 2, low, high, "vol %")
    if len(read) < 2 or any(each.value > TOP_OF_SCALE for each in read.values()):
        return None
    return compare(on_scale(read["refractometer"]), on_scale(read["hydrometer"]))


def say_gauges(found: Gauges | None) -> Iterator[str]:
    if found is not None and found.agreement == "agree":
        yield f"Refractometer and hydrometer together: {found.says}."
    elif found is not None:
        yield (
            "Refractometer and hydrometer part by more than their doubt. Read both again on one cold sample; if they"
            f" still part: {found.says}."
        )
