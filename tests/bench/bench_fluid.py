"""Microseconds for each property call, the best of several runs: `python tests/bench/bench_fluid.py`."""

from __future__ import annotations

import timeit
from collections.abc import Callable

from diagnose.fluid.boiling import boiling_point
from diagnose.fluid.composition import mass_percent, volume_percent
from diagnose.fluid.density import density, mass_percent_of_density
from diagnose.fluid.expansion import relative_volume
from diagnose.fluid.freezing import freezing_point
from diagnose.fluid.freezing import volume_percent as volume_that_freezes_at
from diagnose.fluid.refraction import brix, index_of_brix, mass_percent_of_index, refractive_index
from diagnose.fluid.units import convert, find_unit

CALLS: dict[str, Callable[[], object]] = {
    "convert psi to kPa": lambda: convert(15, "psi", "kPa"),
    "find_unit": lambda: find_unit("% vol"),
    "freezing point": lambda: freezing_point(44, "ethylene"),
    "mixture that freezes at": lambda: volume_that_freezes_at(-31, "ethylene"),
    "volume to mass": lambda: mass_percent(44, "ethylene"),
    "mass to volume": lambda: volume_percent(46, "ethylene"),
    "density at 20 degC": lambda: density(46, "ethylene"),
    "density at 45 degC": lambda: density(46, "ethylene", 45),
    "mixture of a density at 45 degC": lambda: mass_percent_of_density(1.05, "ethylene", 45),
    "index at 20 degC": lambda: refractive_index(46, "ethylene"),
    "index at 35 degC": lambda: refractive_index(46, "ethylene", 35),
    "mixture of an index at 20 degC": lambda: mass_percent_of_index(1.37, "ethylene"),
    "mixture of an index at 35 degC": lambda: mass_percent_of_index(1.37, "ethylene", 35),
    "Brix of an index": lambda: brix(1.37),
    "index of Brix": lambda: index_of_brix(25),
    "expansion": lambda: relative_volume(44, "ethylene", 95),
    "boiling point": lambda: boiling_point(44, "ethylene", 200),
}
RUNS, TIMES = 7, 2000


def main() -> None:
    slowest = 0.0
    for name, call in CALLS.items():
        best = min(timeit.repeat(call, number=TIMES, repeat=RUNS)) / TIMES * 1e6
        slowest = max(slowest, best)
        print(f"{name:34} {best:6.2f} us")
    print(f"{'slowest':34} {slowest:6.2f} us")


if __name__ == "__main__":
    main()
