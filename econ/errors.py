"""The errors of kilncase, by who must act.

KilncaseError
├── InputFault      the user's workbook or command line holds something the model cannot use (exit 2)
├── InputFaults     several of them, reported together (exit 2)
├── FileRefused     a file that is not opened, or not overwritten (exit 2)
├── FactorError     a factor or table that does not exist or contradicts itself (exit 1)
└── FinanceError    a money function was asked something outside its meaning
"""

from __future__ import annotations

from collections.abc import Sequence


class KilncaseError(Exception):
    """Root: anything the command line reports in a sentence."""


class InputFault(KilncaseError, ValueError):
    """One error of the input: the address of the cell or the option, what is wrong there, what to do.

    `name` is what the row or column is called: "Start here B16, Price of the kiln: blank. Enter a number."
    """

    def __init__(self, where: str, wrong: str, do: str, name: str = "") -> None:
        self.where, self.wrong, self.do, self.name = where, wrong, do, name
        super().__init__(f"{self.place}: {self.said}")

    @property
    def place(self) -> str:
        """Sheet, cell and name of the row, as far as they are known."""
        sheet, mark, cell = self.where.rpartition("!")
        at = f"{sheet} {cell}" if mark and cell.isalnum() else self.where
        return f"{at}, {self.name}" if self.name and self.name not in at else at

    @property
    def said(self) -> str:
        """What is wrong and what to do, as sentences."""
        return " ".join(text if text.endswith((".", "?")) else f"{text}." for text in (self.wrong, self.do))

    def __reduce__(self) -> tuple[type[InputFault], tuple[str, str, str, str]]:
        return type(self), (self.where, self.wrong, self.do, self.name)


class InputFaults(KilncaseError, ValueError):
    """All errors of one input, so that a person can mend them in one pass; cautions as sentences beside."""

    def __init__(self, faults: Sequence[InputFault], cautions: Sequence[str] = ()) -> None:
        self.faults, self.cautions = tuple(faults), tuple(cautions)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    @property
    def sentences(self) -> tuple[str, ...]:
        """The errors for a person: one sentence for the same cause in many cells."""
        places: dict[str, list[str]] = {}
        for fault in self.faults:
            places.setdefault(fault.said, []).append(fault.place)
        return tuple(f"{'; '.join(cells)}: {said}" for said, cells in places.items())

    def __reduce__(self) -> tuple[type[InputFaults], tuple[tuple[InputFault, ...], tuple[str, ...]]]:
        return type(self), (self.faults, self.cautions)


class FileRefused(KilncaseError, OSError):
    """A file is missing, unsafe to open, or may not be replaced; the sentence says which."""


class FactorError(KilncaseError, LookupError):
    """A factor, table or edition is unknown, or a row of a table contradicts itself."""


class FinanceError(KilncaseError, ValueError):
    """A money function was given flows, rates or lives outside its meaning."""
