"""The command kilncase: the only place that prints, exits, or knows typer.

Exit codes: 0 done, 1 our fault or an output that takes no more, 2 your input, 130 broken off by you. Heavy
imports stand inside the commands, so that --help stays quick; all that takes time loads in `main`, so that a run
broken off at any moment ends in a sentence.
"""

from __future__ import annotations

import gc
import os
import sys
from _signal import SIGINT, signal  # type: ignore[import-not-found]  # `signal` itself first loads `enum`

TYPE_CHECKING = False  # typing itself would load before the interrupt is heard
if TYPE_CHECKING:
    from pathlib import Path
    from typing import Any

__all__ = ["app", "main", "with_command"]

BROKEN_OFF = 130
"""Exit code of a program that was interrupted (common practice: 128 + the number of the signal)."""
OF_MANY = frozenset({"folder", "compare"})
"""Commands on many plants; one plant ends before a search for reference cycles finds any."""


def __getattr__(name: str) -> Any:
    if name in ("app", "with_command"):
        return getattr(_program(), name)
    raise AttributeError(f"module 'econ.cli' has no attribute {name!r}")


def _program() -> Any:
    """The program with all its commands."""
    from econ.cli import one_plant, program, several  # noqa: F401  # each brings its commands

    return program


def main() -> None:
    """Entry point of the command: runs it, and says in one line where it was broken off or not heard.

    An interrupt is remembered as well as raised: a library on the way may take it for a damaged file.
    """
    interrupts: list[int] = []

    def interrupt(number: int, _: object) -> None:
        interrupts.append(number)
        raise KeyboardInterrupt

    try:
        signal(SIGINT, interrupt)
        gc.set_threshold(20_000)  # records are no cycles: to look through them took a tenth
        if OF_MANY.isdisjoint(sys.argv[1:2]):
            gc.disable()  # it took a seventh
        _prepare_streams()
        _prepare_reading()
        _program().run(sys.argv[1:])
    except BaseException as odd:
        _say_why(odd, bool(interrupts))
        raise
    finally:
        gc.freeze()  # the process ends: no search for reference cycles in what is about to go


def _say_why(odd: BaseException, is_stopped: bool) -> None:
    """End in one line where the end was an interrupt, whatever it was taken for, or an output not heard."""
    if is_stopped and not (isinstance(odd, SystemExit) and not odd.code):
        _end(f"Stopped. {_written()}", BROKEN_OFF)
    if isinstance(odd, BrokenPipeError):
        _end("", 1)  # whoever read our output has read enough
    if isinstance(odd, OSError) and odd.filename is None:
        _end(f"The output could not be written ({odd.strerror or 'it is closed'}). {_written()}", 1)


def _prepare_streams() -> None:
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by whoever started us: what is written to it must not vanish unsaid
            setattr(sys, name, open(os.devnull, "r" if name == "stdout" else "w", encoding="utf-8"))  # noqa: SIM115
        elif (reconfigure := getattr(stream, "reconfigure", None)) is not None:
            reconfigure(encoding="utf-8", errors="replace")


def _prepare_reading() -> None:
    """Workbooks are read with expat alone: by switches of openpyxl, which asks them at its first import.

    `workbook/package_parts.py` has refused any document type by then, with the same parser in the same bytes, so
    defusedxml need not ask again at each element. Who imports econ may read other files: nothing is switched.
    """
    os.environ.setdefault("OPENPYXL_DEFUSEDXML", "False")
    os.environ.setdefault("OPENPYXL_LXML", "False")


def _written() -> str:
    """Which files this process has put in place by now."""
    writer = sys.modules.get("econ.workbook.safe_write")
    done: list[Path] = getattr(writer, "WRITTEN", [])
    names = ", ".join(dict.fromkeys(str(path) for path in done))
    if not names:
        return "Nothing was written."
    hint = " Start it again and it goes on." if names.endswith(".journal") else ""
    return f"Written before that: {names}; nothing else.{hint}"


def _end(sentence: str, code: int) -> None:
    """One line on stderr, then the end; what is left in a broken stream is dropped, and unheard is unheard."""
    import contextlib

    from econ.harmless import on_screen

    with contextlib.suppress(OSError, ValueError):
        if sentence:
            sys.stderr.write(f"{on_screen(sentence)}\n")
            sys.stderr.flush()
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    if code == BROKEN_OFF and "joblib" not in sys.modules:
        # an interrupt inside exec (dataclasses make their methods so) lets Python end by the signal itself
        os._exit(code)
    raise SystemExit(code)
