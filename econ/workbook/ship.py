"""Run as `python -m econ.workbook.ship` in the repository: writes templates/ and scenarios/ anew."""

from __future__ import annotations

from pathlib import Path

from econ.workbook.blank import shipped
from econ.workbook.safe_write import write_atomically


def main() -> None:
    """Write every generated file under the current folder."""
    for name, content in shipped().items():
        write_atomically(Path(name), content)


if __name__ == "__main__":
    main()
