"""`diagnose mix`: every job as a technician would call it, and everything that can be typed wrong."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from diagnose.cli.mix import COMMANDS, mix


def call(text: str) -> Result:
    return CliRunner().invoke(mix, shlex.split(text), env={"COLUMNS": "100"})


def answer(text: str) -> str:
    """What a job prints before its arithmetic, on one line."""
    result = call(text)
    assert result.exit_code == 0, result.output
    return " ".join(result.output.split("HOW IT IS RECKONED")[0].split())


def example(name: str) -> str:
    """The call in the help text of a job."""
    command = mix.get_command(None, name)  # type: ignore[arg-type]
    assert command is not None
    assert command.help is not None
    found = re.search(r"Example:\s+diagnose mix (.*)", command.help, re.DOTALL)
    assert found, f"{name} has no example in its help"
    return " ".join(found[1].split())


# Every job


@pytest.mark.parametrize("name", COMMANDS)
def test_the_example_in_the_help_works(name: str) -> None:
    text = example(name)
    assert text.startswith(f"{name} ")
    result = call(text)
    assert result.exit_code == 0, result.output
    assert "Traceback" not in result.output
    assert max(len(line) for line in result.output.splitlines()) <= 100


@pytest.mark.parametrize("name", COMMANDS)
def test_json_holds_the_same(name: str) -> None:
    text = call(example(name)).output
    content = json.loads(call(f"{example(name)} --as json").output)
    assert content["format"] == 1
    assert content["answer"]
    for says in content["answer"]:
        assert " ".join(says.split()) in " ".join(text.split())


@pytest.mark.parametrize("name", COMMANDS)
def test_help_names_every_option(name: str) -> None:
    result = call(f"{name} --help")
    assert result.exit_code == 0
    assert "Example:" in result.output
    assert "--as [text|json]" in result.output


def test_steps_are_numbered_and_add_up() -> None:
    output = call("correct --volume '10 L' --now '35 %' --want '50 %' --add concentrate").output
    assert "1  drain, and replace by concentrate: 10 L x (50 - 35) / (95 - 35) = 2.50 L" in output
    assert "2  after rounding to 0.1 L: (7.5 x 35 + 2.5 x 95) / 10 = 50.0 vol %" in output


def test_steps_in_json_are_data() -> None:
    content = json.loads(call("correct --volume '10 L' --now '35 %' --add concentrate --as json").output)
    step = content["result"]["ways"][0]["steps"][0]
    assert step["formula"] == "10 L x (50 - 35) / (95 - 35)"
    assert step["result"]["value"] == pytest.approx(2.5)
    assert step["result"]["unit"] == "L"


# The jobs, against values of the trade (sources: tests/fluid)


def test_a_mixture_in_range_that_fails_the_climate() -> None:
    """The trade: 44 % protects to about -29.5 degC and fails a margin of 5 K where -28 is expected."""
    says = answer("protection --mixture '44 %' --coldest '-28 degC'")
    assert "freezes at -29.2 degC" in says
    assert "NOT ENOUGH for a night of -28.0 degC" in says
    assert "not acceptable all the same" in says
    assert "acceptable." in answer("protection --mixture '44 %' --coldest '-20 degC'")


def test_protection_from_whatever_was_read() -> None:
    """ASHRAE: 50 mass % is 47.6 vol %; CRC: its index is 1.3831, which is 31.1 Brix."""
    for read in ("50 mass %", "47.6 %", "1.3831 nD", "31.08 Brix", "-33.8 degC", "-28.8 degF"):
        assert "47.6 vol %" in answer(f"protection --mixture '{read}'"), read


def test_boiling_on_the_published_anchor() -> None:
    """265 degF for 50/50 under 15 psi (trade sources); 107.7 degC open (Raoult)."""
    says = answer("boiling --mixture '50 %' --cap '15 psi' --highest '110 degC'")
    assert "in the open at 107.7 degC" in says
    assert "(265.3 degF)" in says or "(265.4 degF)" in says
    assert "Enough for 110.0 degC" in says
    assert "NOT ENOUGH for 128.0 degC" in answer("boiling --mixture '50 %' --cap '15 psi' --highest '128 degC'")


def test_both_glycols_are_shown() -> None:
    """Propylene at 50 mass % reads -42.7 on an ethylene scale and is really -33.5 (public data, CRC, ASHRAE)."""
    says = answer("refractometer --reads '-42.7 degC' --glycol propylene")
    assert re.search(r"It is propylene glycol: .*freezing at -33\.\d degC", says)
    assert "If it is ethylene glycol" in says


def test_corrections_side_by_side() -> None:
    says = answer("correct --volume '9 L' --now '35 %' --want '50 %'")
    assert "Concentrate: drain 2.20 L, add 2.20 L of concentrate (buy 3 x 1 L)" in says
    assert "50/50 premix alone cannot reach 50 %" in says
    assert "Water alone cannot reach 50 %" in says


def test_a_low_system_is_topped_up_first() -> None:
    says = answer("correct --volume '10 L' --now '45 %' --low '2 L' --add concentrate")
    assert "drain nothing, add 1.50 L of concentrate (buy 2 x 1 L) and 0.50 L of water" in says


def test_american_units_stay_american() -> None:
    says = answer("correct --volume '10 qt' --now '35 %' --add concentrate")
    assert "drain 2.50 qt" in says
    assert " L" not in says


def test_the_order_of_filling() -> None:
    """Mass balance: retained flush water thins a premix (32.5 % where 35 % stays); concentrate first is right."""
    says = answer("replace --volume '10 L' --stays '35 %' --now '50 %' --old '0.001 %'")
    assert "concentrate first and water to the mark: fill 5.30 L of concentrate" in says
    assert "ends at 32.5 vol %" in says
    assert "WRONG: outside 40 to 60 vol %" in says


def test_trapped_air() -> None:
    says = answer("fill --volume '10 L' --stays '35 %' --taken '4.5 L'")
    assert "2.00 L are missing: air" in says
    assert "SHORT" in says


def test_water_by_the_books_limits() -> None:
    """170 and 40 mg/L good (engine makers), 200 and 50 a car maker's limits."""
    assert answer("water --hardness '170 mg/L' --chloride '40 mg/L'").startswith("Fit.")
    assert answer("water --hardness '12 gpg'").startswith("NOT FIT. Not measured: chloride.")
    assert answer("water --hardness '100 mg/L' --other 'sulfate 120 mg/L' --limit 'sulfate 100..200 mg/L'").startswith(
        "Above the stricter limits"
    )
    assert "hardness 286.9 mg/L" in answer("water --calcium '72 mg/L' --magnesium '26 mg/L'")


def test_two_waters() -> None:
    assert answer("two-waters --hardness '340 mg/L' '0 mg/L'").startswith("It takes at least 50 %")
    assert "hardness 150.0 mg/L" in answer("two-waters --hardness '300 mg/L' '0 mg/L' --share '50 %'")


def test_loss_and_shrinking() -> None:
    """Mass balance; expansion 4.5 % from 20 to 95 degC (ASHRAE), which is 4.3 % of the hot volume."""
    assert "1.90 L" in answer("loss --volume '9 L' --before '50 %' --now '40 %'")
    assert "no loss is shown" in answer("loss --volume '9 L' --before '50 %' --now '49.5 %'")
    assert "is no sign of a leak" in answer("shrink --volume '9 L' --drop '0.4 L'")
    assert "are gone" in answer("shrink --volume '9 L' --drop '1 L'")


def test_where_work_can_hurt_the_cautions_show() -> None:
    for name in ("correct", "replace", "fill", "refractometer", "hydrometer", "gauges", "boiling"):
        output = call(example(name)).output
        assert "CAUTIONS" in output, name
        assert "Never open a hot or running engine" in output, name
    assert "Coolant is poisonous" in call(example("correct")).output


# Wrong input: one sentence, exit code 2

WRONG = [
    ("protection --mixture '70 %'", "70 vol % is beyond the scale: no useful gain, poorer cooling"),
    ("protection --mixture '-60 degC'", "-60 degC is beyond the scale"),
    ("protection --mixture '-5 %'", "a mixture of -5 vol % is impossible"),
    ("protection --mixture '44 %' --glycol mixed", "neither scale reads a mixture of the two"),
    ("correct --volume '9' --now '35 %'", "--volume: '9' has no unit; write it like '9 L'"),
    ("correct --volume '9 psi' --now '35 %'", "--volume: psi measures pressure, and volume is wanted"),
    ("correct --volume '9 lt' --now '35 %'", "no unit is called 'lt'; known here: L, mL, qt, gal"),
    ("correct --volume '2,5 L' --now '35 %'", "holds a comma"),
    ("correct --volume 'nine L' --now '35 %'", "does not begin with a number"),
    ("correct --volume '0 L' --now '35 %'", "its volume must be above 0"),
    ("correct --volume '-9 L' --now '35 %'", "its volume must be above 0"),
    ("correct --volume '99999 L' --now '35 %'", "no cooling system holds"),
    ("correct --volume '9 L' --now '40..35 %'", "begins above its end"),
    ("correct --volume '9 L' --now '35 %' --low '9 L'", "can't be low by 9 L"),
    ("correct --volume '9 L' --now '35 %' --want '70 %'", "70 vol % is no target"),
    ("correct --volume '9 L' --now '35 %' --want '45..50 %'", "one value is wanted"),
    ("correct --volume '9 L' --now '35 %' --add premix", "50/50 premix alone cannot reach 50 %"),
    ("correct --volume '9 L' --now '35 %' --want '20 %' --add concentrate", "cannot reach 20 %"),
    ("correct --volume '9 L' --now '35 %' --measure '0 L'", "steps of 0 L"),
    ("correct --volume '9 L' --now '35 %' --jug '0 L'", "must hold more than nothing"),
    ("correct --volume '900 L' --now '35 %'" + " --jug '10 mL' --jug '20 mL' --jug '30 mL'", "name fewer sizes"),
    ("correct --now '35 %'", "Missing option '--volume'"),
    ("refractometer --reads '5 degC'", "water itself freezes at 0 degC"),
    ("refractometer --reads '1.25 SG'", "add --scale acid"),
    ("refractometer --reads '-20 degC' --scale acid", "the battery-acid scale shows a relative density"),
    ("refractometer --reads '-20 degC' --temperature '95 degC'", "let it come to"),
    ("refractometer --reads '-20 degC' --glycol mixed", "neither scale reads"),
    ("hydrometer --reads '1.03 SG' --glycol propylene", "a hydrometer cannot read propylene glycol"),
    ("hydrometer --reads '20 Brix'", "Brix measures Brix scale"),
    ("gauges --refractometer '1.398 nD' --hydrometer '-20 degC'", "can't be compared"),
    ("boiling --mixture '50 %' --cap '-5 psi'", "the rating must be 0 or more"),
    ("boiling --mixture '50 %' --altitude '9000 m'", "no altitude for a road"),
    ("boiling --mixture '70 %'", "no useful gain"),
    ("replace --volume '9 L' --stays '100 %'", "less than the whole system"),
    ("replace --volume '9 L' --stays '10 L'", "less than the whole system"),
    ("replace --volume '9 L' --stays '35 %' --old '0 %'", "can't be aimed at"),
    ("fill --volume '9 L' --stays '2 L' --taken '40 L'", "can't have gone into"),
    ("water", "there is nothing to judge"),
    ("water --chloride '5 degdH'", "degdH counts hardness as CaCO3, not chloride"),
    ("water --calcium '5 degdH'", "counted in mg/L"),
    ("water --hardness '5 gpg' --calcium '9 mg/L'", "not both"),
    ("water --hardness '-5 gpg'", "is impossible"),
    ("water --other 'sulfate 120 mg/L'", "no limit for 'sulfate' is known"),
    ("two-waters", "there is nothing to mix"),
    ("two-waters --hardness '300 mg/L' '200 mg/L'", "no share of it brings 300 down to 170"),
    ("two-waters --hardness '300 mg/L' 'x'", "does not begin with a number"),
    ("loss --volume '9 L' --before '40 %' --now '55 %'", "got stronger"),
    ("loss --volume '9 L' --before '40 %' --now '30 %' --over '0 days'", "time of 0 months"),
    ("shrink --volume '9 L' --hot '20 degC' --cold '95 degC'", "must not lie under cold"),
    ("additive --volume '13 gal' --measured 3 --wanted 2", "add none"),
    ("additive --volume '13 gal' --measured x --wanted 2", "is not a valid float"),
    ("convert '12 bananas'", "no unit is called 'bananas'"),
    ("convert '80 %'", "no useful gain"),
    ("protection --mixture '44 %' --as xml", "is not one of"),
    ("nonsense", "No such command 'nonsense'"),
]


@pytest.mark.parametrize(("text", "says"), WRONG)
def test_wrong_input_is_one_sentence(text: str, says: str) -> None:
    result = call(text)
    assert result.exit_code == 2, result.output
    assert says in result.output
    assert "Traceback" not in result.output
    said = [line for line in result.output.splitlines() if line and not line.startswith(("Usage:", "Try "))]
    assert len(said) == 1, result.output
    assert said[0].startswith("Error: ")


def test_a_book_that_is_not_there() -> None:
    """The main program says it and leaves with 2; a problem keeps its place."""
    done = subprocess.run(
        [sys.executable, "-m", "diagnose.cli.mix", "protection", "--mixture", "44 %", "--book", "nope"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "no-such-book" in done.stderr
    assert done.stdout == ""


def test_a_negative_amount_is_no_option() -> None:
    assert "= -28.889 degC" in call("convert '-20 degF'").output
    assert "-29 degC = -20.2 degF" in call("convert '\N{MINUS SIGN}29 degC'").output


def test_the_book_may_be_ones_own(tmp_path: Path, top: Path) -> None:
    """The limits are the book's: here a margin of 8 K, a range from 46 %, and nothing on water."""
    own = tmp_path / "own"
    shutil.copytree(top / "tests/books/small", own)
    for file in own.glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        text = text.replace("{id: short, below: 5,", "{id: short, below: 8,").replace(
            "from: 5, says: enough", "from: 8, says: enough"
        )
        file.write_text(
            text.replace("good: [40, 60]", "good: [46, 60]").replace("id: small", "id: own"), encoding="utf-8"
        )
    says = answer(f"protection --mixture '44 %' --coldest '-20 degC' --book {own}")
    assert "8 K wanted" in says
    assert "outside 46 to 60 vol %" in says
    result = call(f"water --hardness '100 mg/L' --book {own}")
    assert result.exit_code == 2
    assert "no limit for 'hardness' is known" in result.output


def test_fluid_needs_nothing_but_python() -> None:
    code = (
        "import sys, pkgutil, importlib, diagnose.fluid as f;"
        "[importlib.import_module('diagnose.fluid.' + m.name) for m in pkgutil.iter_modules(f.__path__)];"
        "print([m for m in ('numpy', 'yaml', 'click', 'diagnose.rulebook', 'diagnose.yamlfile') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
