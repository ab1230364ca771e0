"""What stands on paper: every piece of text of a PDF with its size, its room and its place, read by pdfium.

A piece is what the writer of the PDF put down in one go, such as a line of a cell. Its size is that on paper,
after the sheet was scaled to the page.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pypdfium2
import pypdfium2.raw as raw

Box = tuple[float, float, float, float]
"""Left, bottom, right, top in points."""
EVERYWHERE: Box = (-1e9, -1e9, 1e9, 1e9)


@dataclass(frozen=True)
class Piece:
    text: str
    size: float
    box: Box
    room: Box


@dataclass(frozen=True)
class Page:
    width: float
    height: float
    pieces: tuple[Piece, ...]

    @property
    def text(self) -> str:
        """All pieces in reading order, as far as the writer kept it, one space apart."""
        return " ".join(" ".join(piece.text for piece in self.pieces).split())

    def clipped(self) -> Iterator[str]:
        """Every piece that reaches out of its room, or out of the paper."""
        for piece in self.pieces:
            left, bottom, right, top = within(piece.room, (0, 0, self.width, self.height))
            found = piece.box
            over = max(left - found[0], bottom - found[1], found[2] - right, found[3] - top)
            if over > 0.5:
                yield f"{piece.text!r}: {over:.1f} pt outside of its room"

    def overlapping(self) -> Iterator[str]:
        """Every two pieces that lie on each other by more than a hair both ways."""
        found = sorted(self.pieces, key=lambda piece: piece.box[0])
        for at, one in enumerate(found):
            for other in found[at + 1 :]:
                if other.box[0] > one.box[2] - 1:
                    break
                high = min(one.box[3], other.box[3]) - max(one.box[1], other.box[1])
                if high > 1:
                    yield f"{one.text!r} and {other.text!r} by {high:.1f} pt"


def within(one: Box, other: Box) -> Box:
    """What two boxes share."""
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def pages_of(path: Path) -> list[Page]:
    """Every page of a PDF."""
    return [_page(page) for page in pypdfium2.PdfDocument(path)]


def _page(page: pypdfium2.PdfPage) -> Page:
    words = page.get_textpage()
    texts = page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=5)
    pieces = (Piece(_text(one, words), _size(one), one.get_bounds(), _room(one)) for one in texts)
    return Page(page.get_width(), page.get_height(), tuple(piece for piece in pieces if piece.text.strip()))


def _text(one: pypdfium2.PdfObject, words: pypdfium2.PdfTextPage) -> str:
    length = raw.FPDFTextObj_GetText(one.raw, words.raw, None, 0)
    letters = (ctypes.c_ushort * length)()
    raw.FPDFTextObj_GetText(one.raw, words.raw, letters, length)
    return bytes(letters).decode("utf-16-le").rstrip("\0")


def _size(one: pypdfium2.PdfObject) -> float:
    """The size of the face times how far the text is stretched upwards of its own line."""
    size = ctypes.c_float()
    raw.FPDFTextObj_GetFontSize(one.raw, size)
    _, _, c, d, _, _ = one.get_matrix().get()
    return float(size.value * (c * c + d * d) ** 0.5)


def _room(one: pypdfium2.PdfObject) -> Box:
    """The box that all clipping paths leave."""
    path = raw.FPDFPageObj_GetClipPath(one.raw)
    room = EVERYWHERE
    for at in range(max(raw.FPDFClipPath_CountPaths(path), 0) if path else 0):
        points = [_point(raw.FPDFClipPath_GetPathSegment(path, at, corner))
                  for corner in range(raw.FPDFClipPath_CountPathSegments(path, at))]  # fmt: skip
        if points:
            across, up = zip(*points, strict=True)
            room = within(room, (min(across), min(up), max(across), max(up)))
    return room


def _point(segment: object) -> tuple[float, float]:
    x, y = ctypes.c_float(), ctypes.c_float()
    raw.FPDFPathSegment_GetPoint(segment, x, y)
    return x.value, y.value
