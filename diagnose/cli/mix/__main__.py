"""`python -m diagnose.cli.mix` runs the jobs without the rest of the program."""

import sys

from diagnose.cli.main import run

sys.argv.insert(1, "mix")
run()
