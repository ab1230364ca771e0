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
    """One fault of the input: where it stands, what was found there, what is expected."""

    def __init__(self, where: str, found: str, expected: str) -> None:
        self.where, self.found, self.expected = where, found, expected
        super().__init__(f"{where}: found {found}; expected {expected}")

    def __reduce__(self) -> tuple[type[InputFault], tuple[str, str, str]]:
        return type(self), (self.where, self.found, self.expected)


class InputFaults(KilncaseError, ValueError):
    """All faults of one input, so that a person can mend them in one pass; cautions as sentences beside."""

    def __init__(self, faults: Sequence[InputFault], cautions: Sequence[str] = ()) -> None:
        self.faults, self.cautions = tuple(faults), tuple(cautions)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[InputFaults], tuple[tuple[InputFault, ...], tuple[str, ...]]]:
        return type(self), (self.faults, self.cautions)


class FileRefused(KilncaseError, OSError):
    """A file is missing, unsafe to open, or may not be replaced; the sentence says which."""


class FactorError(KilncaseError, LookupError):
    """A factor, table or edition is unknown, or a row of a table contradicts itself."""


class FinanceError(KilncaseError, ValueError):
    """A money function was given flows, rates or lives outside its meaning."""
