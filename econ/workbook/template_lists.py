"""Drop-down lists and messages of the scenario workbooks."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name


def shorten(text: str, most: int) -> str:
    """The text, cut at a word where it is longer than a message may be."""
    if len(text) <= most:
        return text
    return text[: most - 3].rsplit(" ", 1)[0].rstrip(",;:") + "..."


class Lists:
    """The hidden sheet of drop-down lists: names with commas do not fit into a validation itself."""

    def __init__(self, book: Any) -> None:
        self.sheet = book.add_worksheet("Lists")
        self.sheet.hide()
        self.made: dict[tuple[str, ...], str] = {}

    def validation(self, names: tuple[str, ...], strict: bool = True) -> dict[str, Any]:
        """A drop-down of names; not strict lets other words stand."""
        if names not in self.made:
            column = len(self.made)
            for at, name in enumerate(names):
                self.sheet.write_string(at, column, name)
            letter = xl_col_to_name(column)
            self.made[names] = f"=Lists!${letter}$1:${letter}${len(names)}"
        return {
            "validate": "list",
            "source": self.made[names],
            "error_type": "stop" if strict else "information",
            "error_title": "Choose from the list",
            "error_message": "Pick one of the choices of the drop-down.",
        }
