"""The two matchers on rules alone: speed over many cases, and whether memory stays flat.

python tests/bench/bench_rules.py
"""

from __future__ import annotations

import random
import sys
from pathlib import Path
from time import perf_counter

from diagnose.firings.from_findings import choose

RULES, TERMS, HOLDING, MANY = 250, 180, 25, 20_000


def main() -> None:
    draw = random.Random(1)
    every = [f"quantity {number}: band" for number in range(TERMS)]
    rules = {f"R-{number}": frozenset(draw.sample(every, draw.choice([1, 1, 2, 2, 3]))) for number in range(RULES)}
    cases = [frozenset(draw.sample(every, HOLDING)) for _ in range(MANY)]
    print(f"Python {'.'.join(map(str, sys.version_info[:3]))}: {RULES} rules over {TERMS} conditions, {HOLDING} hold\n")
    print(f"| matcher | cases/s | fired a case | memory after {MANY // 10} and {MANY} cases |\n|---|---|---|---|")
    for which in ("durable", "plain"):
        matcher, name = choose(rules, which)
        early, fired, start = 0.0, 0, perf_counter()
        for number, case in enumerate(cases):
            if number == MANY // 10:
                early = megabytes()
            fired += len(matcher.fire(case))
        speed = MANY / (perf_counter() - start)
        print(f"| {name} | {speed:,.0f} | {fired / MANY:.1f} | {early:.1f} and {megabytes():.1f} MB |")


def megabytes() -> float:
    """Memory held by this process (Linux)."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.partition("VmRSS:")[2].split()[0]) / 1024


if __name__ == "__main__":
    main()
