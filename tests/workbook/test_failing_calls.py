"""Every call to the system on the way of writing a file fails once: the old file stands or the new one, one
sentence says so, nothing is left beside it.

A few lines of C stand before the C library and let the n-th call fail that concerns files.
"""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

SHIM = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdarg.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
static int left = -1, number, calls;
static char failed[32];
void arm(int at, int code) { left = at; number = code; calls = 0; failed[0] = 0; }
int count(void) { left = -1; return calls; }
const char *which(void) { return failed; }
static int fails(const char *name) {
    if (left < 0) return 0;
    calls++;
    if (left == 0 || --left) return 0;
    left = -1; strncpy(failed, name, 31); errno = number; return 1;
}
#define NEXT(name) ((__typeof__(&name)) dlsym(RTLD_NEXT, #name))
int open64(const char *path, int flags, ...) {
    va_list more; va_start(more, flags); mode_t mode = va_arg(more, mode_t); va_end(more);
    return fails("open") ? -1 : NEXT(open64)(path, flags, mode);
}
ssize_t write(int fd, const void *data, size_t size) { return fails("write") ? -1 : NEXT(write)(fd, data, size); }
ssize_t read(int fd, void *data, size_t size) { return fails("read") ? -1 : NEXT(read)(fd, data, size); }
int fsync(int fd) { return fails("fsync") ? -1 : NEXT(fsync)(fd); }
int rename(const char *old, const char *new) { return fails("rename") ? -1 : NEXT(rename)(old, new); }
int chmod(const char *path, mode_t mode) { return fails("chmod") ? -1 : NEXT(chmod)(path, mode); }
int stat64(const char *path, struct stat64 *to) { return fails("stat") ? -1 : NEXT(stat64)(path, to); }
int lstat64(const char *path, struct stat64 *to) { return fails("lstat") ? -1 : NEXT(lstat64)(path, to); }
int fstat64(int fd, struct stat64 *to) { return fails("fstat") ? -1 : NEXT(fstat64)(fd, to); }
"""

PROGRAM = """
import ctypes, io, json, os, sys
from pathlib import Path
import xlsxwriter
from econ.errors import FileRefused
from econ.workbook.safe_write import FINGERPRINT_BLANK, FINGERPRINT_PROPERTY, stamp, write_results_file

def made(text):
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True})
    book.set_custom_property(FINGERPRINT_PROPERTY, FINGERPRINT_BLANK)
    book.add_worksheet().write_string(0, 0, text)
    book.close()
    return target.getvalue()

shim = ctypes.CDLL(None)
shim.which.restype = ctypes.c_char_p
code, place = int(sys.argv[1]), Path(sys.argv[2])
goal = place / "plant.results.xlsx"
old, new = stamp(made("old")), made("new")
stamped = stamp(new)

def one(at):
    goal.write_bytes(old)
    said, calls = "", 0
    shim.arm(at, code)
    try:
        write_results_file(goal, new, False)
        calls = shim.count()
    except FileRefused as refused:
        shim.count()
        said = str(refused)
    content = goal.read_bytes()
    return {"at": at, "call": shim.which().decode(), "said": said, "calls": calls,
            "left": sorted(os.listdir(place)),
            "is": "old" if content == old else "new" if content == stamped else "neither"}

whole = one(0)
print(json.dumps([whole, *map(one, range(1, whole["calls"] + 1))]))
"""


@pytest.fixture(scope="module")
def shim(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if sys.platform != "linux" or not shutil.which("cc"):
        pytest.skip("needs Linux and a C compiler")
    place = tmp_path_factory.mktemp("shim")
    (place / "shim.c").write_text(SHIM)
    subprocess.run(["cc", "-shared", "-fPIC", "-o", "shim.so", "shim.c", "-ldl"], cwd=place, check=True)
    return place / "shim.so"


@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC, errno.EACCES], ids=["EIO", "ENOSPC", "EACCES"])
def test_each_call_fails_once(code: int, shim: Path, tmp_path: Path) -> None:
    import json

    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(code), str(tmp_path)],
        env={**os.environ, "LD_PRELOAD": str(shim)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    whole, *found = json.loads(done.stdout)
    assert (whole["is"], whole["said"], whole["call"]) == ("new", "", "")
    assert {"open", "write", "fsync", "rename", "chmod", "stat", "read"} <= {one["call"] for one in found}
    for one in found:
        assert one["is"] == ("old" if one["said"] else "new"), one
        assert one["left"] == ["plant.results.xlsx"], one
        assert "\n" not in one["said"], one
        assert not one["said"] or one["said"].startswith("'plant.results.xlsx' was not written: "), one
