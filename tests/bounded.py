"""The command in processes of its own that the system holds to so much time and memory.

`Command.run` is the whole command in a fork of one warm process, so that a table of a hundred files costs
seconds; whatever reaches out of the process (network, other programs) fails there. `alone` is the
installed program, from nothing.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import os
import resource
import subprocess
import sys
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

MB = 2**20
CPU_S, WALL_S = 20, 120  # of the machine's own clock only so much that a test never hangs
MEMORY = 1_024 * MB

SERVER = '''
import ctypes, gc, json, os, resource, signal, sys
import openpyxl, numpy, xlsxwriter, docx, pyarrow.parquet, joblib
import matplotlib.backends.backend_agg, matplotlib.figure
import econ.cli, econ.answer.appraisal, econ.answer.screen, econ.workbook.read
import econ.workbook.results_book, econ.workbook.plain_book
import econ.workbook.blank, econ.note.write, econ.many.folder, econ.many.book, econ.answer.comparison
import econ.cli.one_plant, econ.cli.several, econ.cli.program, typer.main
from pathlib import Path
from econ.questions.latin import Sampling

# the commands are put together once: that took two thirds of a fork that refuses
program = typer.main.get_command(econ.cli.program.app)
typer.main.get_command = lambda _: program

# tables and schema are read once, here, and not in every fork, and the shipped plant is answered once
sys.path.insert(0, TESTS)
from remembered import remember, remember_sheets
from pytest import MonkeyPatch
patch = MonkeyPatch()
remember(patch)
remember_sheets(patch)
shipped = econ.workbook.read.read_scenario(Path(TESTS).parent / "scenarios" / "thistle-flat.xlsx")
econ.workbook.results_book.results_bytes(econ.answer.appraisal.appraise(shipped, Sampling()))
gc.collect()  # what is loaded by now stays in every fork
gc.freeze()

OUTSIDE = ("socket.", "subprocess.", "os.exec", "os.fork", "os.posix_spawn", "os.spawn", "os.system", "ctypes.",
           "urllib.", "http.", "smtplib.", "ftplib.", "webbrowser.", "pty.")

class Warden:
    """Refuses every way out of the process, and kills it at the step that was asked for."""

    def __init__(self, left):
        self.left = left

    def __call__(self, event, args):
        if event.startswith(OUTSIDE):
            raise RuntimeError(f"{event} reaches outside: {args}")
        if self.left and event in ("open", "os.chmod", "os.rename") and ".kilncase-" in str(args[0]):
            self.left -= 1
            if not self.left:
                os.kill(os.getpid(), signal.SIGKILL)

def drop_powers():
    """Root reads and writes what is locked no more: CAP_DAC_OVERRIDE and CAP_DAC_READ_SEARCH (capabilities(7))."""
    libc, header, sets = ctypes.CDLL(None), (ctypes.c_uint32 * 2)(0x20080522, 0), (ctypes.c_uint32 * 6)()
    assert libc.capget(header, sets) == 0
    for at in (0, 1):  # in force, and allowed
        sets[at] &= ~0b110
    assert libc.capset(header, sets) == 0

def child(job):
    os.chdir(job["where"])
    os.environ.update(job["env"])
    for number, name in ((1, "out"), (2, "err")):
        os.dup2(os.open(os.path.join(job["files"], name), os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
    if job["deadly"]:
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
    for name, most in job["limits"].items():
        resource.setrlimit(getattr(resource, name), (most, most))
    signal.alarm(job["wall_s"])
    if job["powerless"]:
        drop_powers()
    sys.addaudithook(Warden(job["kill_at"]))
    sys.dont_write_bytecode = True  # what is limited and killed are files of ours
    for words in job["commands"]:
        sys.argv = ["kilncase", *words]
        code = ended_with(econ.cli.main)
        if code:
            return code
    return 0

def ended_with(main):
    try:
        main()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else int(end.code is not None)
    return 0

for line in sys.stdin:
    process = os.fork()
    if process == 0:
        code = 70
        try:
            code = child(json.loads(line))
        except BaseException:
            import traceback
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    print(os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]), flush=True)
'''


class Answer(NamedTuple):
    """What a command did: exit code (a signal is negative), and what it said."""

    code: int
    out: str
    err: str

    @property
    def said(self) -> str:
        return self.out + self.err


class Command:
    """A warm process that runs the command in forks of itself, in the environment given to it from its start."""

    def __init__(self, env: Mapping[str, str] | None = None) -> None:
        self._server = subprocess.Popen(
            [sys.executable, "-c", f"TESTS = {os.path.dirname(__file__)!r}\n{SERVER}"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=dict(env or environment()),
        )  # fmt: skip

    def run(self, *words: object, **how: Any) -> Answer:
        """Run `kilncase WORDS`; `how` as of `in_turn`."""
        return self.in_turn([words], **how)

    def in_turn(
        self,
        commands: Sequence[Sequence[object]],
        *,
        where: Path = Path("/"),
        cpu_s: int = CPU_S,
        memory: int = MEMORY,
        file_bytes: int | None = None,
        deadly: bool = False,
        kill_at: int = 0,
        env: Mapping[str, str] | None = None,
        powerless: bool = False,
    ) -> Answer:
        """Run commands in one fork up to the first that fails: a plant that several ask for is answered once.

        If `powerless` without the powers that let root read what is locked.
        A file beyond `file_bytes` is refused by the system, or kills if `deadly`; `kill_at` kills at the so
        many-th step that touches a hidden file of ours: made, opened, forced to disk, renamed.
        """
        limits = {"RLIMIT_CPU": cpu_s, "RLIMIT_AS": memory}
        if file_bytes is not None:
            limits["RLIMIT_FSIZE"] = file_bytes
        with TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as files:
            job = {"commands": [[*map(_typed, words)] for words in commands],
                   "where": str(where), "files": files, "limits": limits, "wall_s": WALL_S, "deadly": deadly,
                   "kill_at": kill_at, "powerless": powerless,
                   "env": dict(env or {})}  # fmt: skip
            assert self._server.stdin is not None
            assert self._server.stdout is not None
            self._server.stdin.write(json.dumps(job) + "\n")
            self._server.stdin.flush()
            code = int(self._server.stdout.readline())
            out, err = (Path(files, name).read_text("utf-8", "surrogateescape") for name in ("out", "err"))
        return Answer(code, out, err)

    def close(self) -> None:
        assert self._server.stdin is not None
        self._server.stdin.close()
        self._server.wait()


def _typed(word: object) -> str:
    return os.fspath(word) if isinstance(word, Path) else str(word)


@cache
def warm() -> Command:
    """The one warm process of a test run, made at first use."""
    command = Command()
    atexit.register(command.close)
    return command


def environment(**more: str) -> dict[str, str]:
    """The linear algebra library sets address space aside for each thread: one is enough."""
    return {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", **more}


def alone(
    *words: object,
    where: Path,
    memory: int = 2 * MEMORY,
    cpu_s: int = 3 * CPU_S,
    env: Mapping[str, str] | None = None,
) -> Answer:
    """The installed program in a process of its own."""

    def limits() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s))
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))

    program = [str(Path(sys.executable).with_name("kilncase")), *map(str, words)]
    done = subprocess.run(
        program, cwd=where, env=environment() if env is None else dict(env), capture_output=True, check=False,
        preexec_fn=limits, timeout=WALL_S,
    )  # fmt: skip
    return Answer(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))


def listing(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its content; what is no file by its kind."""
    found = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        found[name] = b"(no file)"
        if path.is_file():
            with contextlib.suppress(OSError):
                found[name] = path.read_bytes()
    return found
