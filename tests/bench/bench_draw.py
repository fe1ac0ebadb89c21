"""How long the trees of a book take, when the first word of progress comes, and what each tree is. Run by hand.

python tests/bench/bench_draw.py [BOOK]
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

TREES_AT_MOST = 20.0
FIRST_WORD_AT_MOST = 1.0
PROGRAM = "import sys; from diagnose.cli.draw import draw; draw(sys.argv[1:], standalone_mode=False)"
ONLY_TREES = """
import sys
from diagnose.cli.draw.folder import tree_graphs
from diagnose.rulebook.find import find_book
from diagnose.rulebook.from_yaml import read_book
if __name__ == "__main__":
    tree_graphs(sys.argv[1], tuple(read_book(find_book(sys.argv[1])).entries))
"""


def main() -> int:
    book = sys.argv[1] if len(sys.argv) > 1 else "passenger-car"
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "trees.py"
        script.write_text(ONLY_TREES, encoding="utf-8")
        first, trees = timed([sys.executable, str(script), book])
        _, everything = timed([sys.executable, "-c", PROGRAM, book, "--all", "-o", folder])
    rows = [
        ("first word of progress", first, FIRST_WORD_AT_MOST),
        ("all trees on two cores", trees, TREES_AT_MOST),
        ("all of graphs/, with maps and pictures", everything, None),
    ]
    print("| what | measured | target | |\n|---|---|---|---|")
    for what, seconds, target in rows:
        held = "" if target is None else "held" if seconds <= target else "MISSED"
        print(f"| {what} | {seconds:.1f} s | {f'{target:g} s at most' if target else ''} | {held} |")
    print(f"\n{table(book)}")
    return int(any(target is not None and seconds > target for _, seconds, target in rows))


def timed(command: list[str]) -> tuple[float, float]:
    """Seconds to the first line on stderr, and to the end."""
    start = perf_counter()
    running = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    assert running.stderr is not None
    running.stderr.readline()
    first = perf_counter() - start
    running.stderr.read()
    if running.wait():
        raise SystemExit(f"{command} ended with {running.returncode}")
    return first, perf_counter() - start


def table(book: str) -> str:
    """What each tree came to."""
    from diagnose.cli.draw.what import bench_of, road_of
    from diagnose.graph.tree import compile_tree

    bench = bench_of(book)
    head = ("tree", "questions", "endings", "this tree", "the program", "not drawn to the end")
    lines = [f"| {' | '.join(head)} |", "|---" * len(head) + "|"]
    for entry in bench.book.entries.values():
        tree = compile_tree(road_of(bench), entry)
        told = tree.expected
        live = f"{told.live_least:.0f} to {told.live_most:.0f} min"
        counts = f"{len(tree.questions)} | {len(tree.endings)} | {told.tree:.0f} min"
        lines.append(f"| {entry.label} | {counts} | {live} | {told.undrawn:.0%} |")
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
