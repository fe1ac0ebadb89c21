"""How fast cases are worked up, and whether memory stays flat. Run by hand; RESULTS.md keeps the figures.

    python tests/bench/bench_case.py cases/*.yaml

Needs the program installed (not only on the path) in the Python that runs this. The second part of the tables is
measured on a part of the shipped book that is as large as the one the targets were set for (first_part.py).
"""

from __future__ import annotations

import argparse
import importlib.util
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Iterator
from itertools import cycle, islice, pairwise
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.case.model import Case
    from diagnose.pipeline import Bench

PAIRS = 15
WARM_SECONDS = 4.0
MANY = 20_000
COLD_AT_MOST = 0.4
COLD_TIMES_AT_MOST = 3.5
CASES_A_SECOND = {"durable": 400, "plain": 700}
STAGES = ("case", "findings", "firings", "diagnosis", "plan", "report")
ROUNDS = 5
GROWTH_AT_MOST = 2.0  # MB from case 2,000 to case 20,000

Row = tuple[str, str, str, bool]


def main() -> int:
    parser = argparse.ArgumentParser(description="Time the work-up of cases.")
    parser.add_argument("files", nargs="+", type=Path, metavar="CASE")
    parser.add_argument("--many", type=int, default=MANY, help=f"cases for the memory run (default {MANY})")
    parser.add_argument("--memory-of", choices=sorted(CASES_A_SECOND), help=argparse.SUPPRESS)
    parser.add_argument("--warm-of", choices=sorted(CASES_A_SECOND), help=argparse.SUPPRESS)
    parser.add_argument("--part", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.warm_of:
        print(speed(Road(options.files, options.warm_of, options.part)))
        return 0
    if options.memory_of:
        print(*memory(options.files, options.memory_of, options.many))
        return 0
    engines = [name for name in CASES_A_SECOND if name == "plain" or importlib.util.find_spec("durable")]
    roads = {(engine, part): Road(options.files, engine, part) for part in (False, True) for engine in engines}
    rows = list(cold(options.files[0]))
    rows += [warm(road) for road in roads.values()]
    rows += [side_by_side(road, options.files) for road in roads.values()]
    rows += [flat(options.files, engine, options.many) for engine in engines]
    version = ".".join(map(str, sys.version_info[:3]))
    print(f"Python {version}, {len(options.files)} case file(s), {PAIRS} pairs of starts\n")
    print("| what | measured | target | |\n|---|---|---|---|")
    for what, measured, target, held in rows:
        print(f"| {what} | {measured} | {target} | {'held' if held else 'MISSED'} |")
    print("\n| where the time goes | " + " | ".join(map(str, roads.values())) + " |\n|---|" + "---|" * len(roads))
    for stage, *times in zip(STAGES, *map(stages, roads.values()), strict=True):
        print(f"| {stage} | " + " | ".join(f"{1000 * time:.2f} ms" for time in times) + " |")
    return 0 if all(held for *_, held in rows) else 1


def cold(case: Path) -> Iterator[Row]:
    """Starting the program for one case, each start next to one of Python with the bare imports."""
    program = [str(Path(sysconfig.get_path("scripts")) / "diagnose"), "case", str(case)]
    bare = [sys.executable, "-c", "import click, yaml, numpy"]
    pairs = [(_started(program), _started(bare)) for _ in range(PAIRS + 1)][1:]  # the first fills the disk cache
    whole, imports = (median(times) for times in zip(*pairs, strict=True))
    target = f"{COLD_AT_MOST} s at most"
    yield "cold start, one case", f"{whole:.3f} s", target, whole <= COLD_AT_MOST
    measured = f"{whole / imports:.2f} x ({imports:.3f} s)"
    yield "against the bare imports", measured, f"{COLD_TIMES_AT_MOST} x at most", whole <= COLD_TIMES_AT_MOST * imports


def _started(command: list[str]) -> float:
    start = perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return perf_counter() - start


class Road:
    """From a case's text to the work-up's, with one engine, on the whole book or on the first part of it.

    `texts` are the cases that this book explains; the first part does not explain every one.
    """

    def __init__(self, files: list[Path], engine: str, part: bool = False) -> None:
        self.engine = engine
        self.part = part
        self.bench = _first_part(engine) if part else _whole(engine)
        every = [file.read_text(encoding="utf-8") for file in files]
        self.texts = [text for text in every if self._explains(text)] if part else every

    def __str__(self) -> str:
        return f"{self.engine}, first part" if self.part else self.engine

    def work_up(self, text: str) -> str:
        from diagnose.case.from_yaml import case_from_text
        from diagnose.report.text import render

        case = case_from_text(text, "case")
        bench = self.bench(case)
        return render(bench.work_up(case), bench.book)

    def _explains(self, text: str) -> bool:
        from diagnose.yamlfile import InputError

        try:
            return bool(self.work_up(text))
        except InputError:
            return False


def _whole(engine: str) -> Callable[[Case], Bench]:
    from diagnose.cli.workshop import Benches

    return Benches("", engine).for_case


def _first_part(engine: str) -> Callable[[Case], Bench]:
    from first_part import first_part

    from diagnose.cli.workshop import DEFAULT_BOOK
    from diagnose.pipeline import Bench
    from diagnose.rulebook.find import find_book
    from diagnose.rulebook.from_yaml import read_book

    bench = Bench(first_part(read_book(find_book(DEFAULT_BOOK))), engine)
    return lambda _: bench


def warm(road: Road) -> Row:
    """One process."""
    return _held(f"warm, {road} ({len(road.texts)} cases)", speed(road), road)


def side_by_side(road: Road, files: list[Path]) -> Row:
    """Two processes at once, as a batch of many cases is worked up on two cores."""
    command = [sys.executable, __file__, "--warm-of", road.engine, *(["--part"] if road.part else []), *map(str, files)]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    return _held(f"warm, {road}, two processes", sum(float(one.communicate()[0]) for one in both), road)


def speed(road: Road) -> float:
    """Cases a second, text in, text out, with the rulebooks compiled."""
    for text in road.texts:
        road.work_up(text)
    done, start = 0, perf_counter()
    while perf_counter() - start < WARM_SECONDS:
        for text in road.texts:
            road.work_up(text)
        done += len(road.texts)
    return done / (perf_counter() - start)


def _held(what: str, found: float, road: Road) -> Row:
    target = CASES_A_SECOND[road.engine]
    return what, f"{found:.0f} cases/s", f"{target} cases/s", found >= target


def stages(road: Road) -> list[float]:
    """Mean seconds a case spends in each of STAGES."""
    from diagnose.case.from_yaml import case_from_text
    from diagnose.diagnosis.from_firings import diagnose
    from diagnose.findings.from_case import find
    from diagnose.plan.from_diagnosis import plan
    from diagnose.report.text import render

    spent, texts = [0.0] * len(STAGES), road.texts
    for number, text in enumerate(texts * (ROUNDS + 1)):
        bench = road.bench(case_from_text(text, "case"))
        ticks = [perf_counter()]
        case = case_from_text(text, "case")
        ticks.append(perf_counter())
        findings = find(case, bench.book)
        ticks.append(perf_counter())
        firings = bench.rules.run(findings)
        ticks.append(perf_counter())
        diagnosis = diagnose(firings, bench.belief)
        ticks.append(perf_counter())
        planned = plan(diagnosis, bench.book)
        ticks.append(perf_counter())
        render(planned, bench.book)
        ticks.append(perf_counter())
        if number >= len(texts):  # the first round warms up
            spent = [total + after - before for total, (before, after) in zip(spent, pairwise(ticks), strict=True)]
    return [total / ROUNDS / len(texts) for total in spent]


def flat(files: list[Path], engine: str, many: int) -> Row:
    """Memory in a process of its own, so that nothing else that ran is counted."""
    command = [sys.executable, __file__, "--memory-of", engine, "--many", str(many), *map(str, files)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    early, late = map(float, done.stdout.split())
    target = f"{GROWTH_AT_MOST:g} MB at most"
    measured = f"{early:.1f} to {late:.1f} MB ({late - early:+.1f})"
    return f"memory over {many} cases, {engine}", measured, target, late - early <= GROWTH_AT_MOST


def memory(files: list[Path], engine: str, many: int) -> tuple[float, float]:
    """Megabytes in use after a tenth of the cases and after all of them."""
    road = Road(files, engine)
    early = 0.0
    for number, text in enumerate(islice(cycle(road.texts), many)):
        if number == many // 10:
            early = _megabytes()
        road.work_up(text)
    return early, _megabytes()


def _megabytes() -> float:
    """Memory held by this process (Linux)."""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    raise RuntimeError("this system does not tell how much memory a process holds")


if __name__ == "__main__":
    sys.exit(main())
