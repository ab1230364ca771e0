"""Run as `python -m econ.workbook.ship` in the repository: writes every generated file anew."""

from __future__ import annotations

import re
import shutil
import sys
import warnings
from pathlib import Path

from econ.answer.appraisal import appraise
from econ.answer.screen import screen
from econ.evidence.used import SHIPPED, edition
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.workbook.blank import shipped
from econ.workbook.places import run
from econ.workbook.safe_write import write_atomically

SCREEN = re.compile(r"(<!-- screen -->\n```\n).*?(```\n<!-- /screen -->)", re.DOTALL)
PICTURES = "tests/pictures.py"
"""Draws the pictures of the README where what they show has changed."""


def readme_with_screen(text: str) -> str:
    """A README text with the answer screen of the first shipped plant between its two marks."""
    plant = example(NAMES[0])
    shown = screen(appraise(build(plant.rows, plant.system)))
    return SCREEN.sub(lambda found: f"{found[1]}{shown}\n{found[2]}", text)


def main() -> None:
    """Write every generated file under the current folder; pictures only where their programs are."""
    write_atomically(Path("econ", "evidence", SHIPPED), f"{edition()}\n".encode())
    for name, content in shipped().items():
        write_atomically(Path(name), content)
    readme = Path("README.md")
    write_atomically(readme, readme_with_screen(readme.read_text(encoding="utf-8")).encode())
    missing = [name for name in ("soffice", "pdftoppm", "chromium") if shutil.which(name) is None]
    if missing:
        said = f"The pictures of the README were not looked at: {', '.join(missing)} not found."
        warnings.warn(said, stacklevel=2)
    else:
        run([sys.executable, PICTURES], Path())


if __name__ == "__main__":
    main()
