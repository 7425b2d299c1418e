"""Icons of the extension, drawn as shapes: two lifts and a panel, with a mark for each command."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Grid = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

INK = (0x26, 0x24, 0x30)
INDIGO = (0x2B, 0x2C, 0x66)
SAND = (0xC9, 0xBB, 0x98)
OCHRE = (0xD9, 0xAE, 0x4C)
PLUM = (0x74, 0x41, 0x6F)
SIZES = (16, 26, 42)
"""Lengths of side that LibreOffice asks for, in pixels."""
_FINER = 8
"""Points of a pixel along each side, averaged for smooth edges."""


def _box(x: Grid, y: Grid, left: float, top: float, right: float, bottom: float) -> Mask:
    return (x >= left) & (x < right) & (y >= top) & (y < bottom)


def _stroke(x: Grid, y: Grid, ends: tuple[float, float, float, float], width: float) -> Mask:
    x0, y0, x1, y1 = ends
    dx, dy = x1 - x0, y1 - y0
    along = np.clip(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
    return np.hypot(x - x0 - along * dx, y - y0 - along * dy) <= width / 2.0


def _run_mark(x: Grid, y: Grid) -> Mask:
    """An upward pointer: the next lift."""
    head = (y >= 1.0) & (y <= 6.0) & (np.abs(x - 4.5) <= (y - 1.0) * 0.75)
    return head | _box(x, y, 3.5, 5.5, 5.5, 9.0)


def _verify_mark(x: Grid, y: Grid) -> Mask:
    """A ring round a dot."""
    distance = np.hypot(x - 4.5, y - 5.0)
    return ((distance <= 4.0) & (distance >= 2.6)) | (distance <= 1.2)


def _next_mark(x: Grid, y: Grid) -> Mask:
    """A pennant on a pole."""
    pennant = (x >= 2.0) & (x <= 9.0) & (np.abs(y - 3.5) <= (9.0 - x) * 0.36)
    return pennant | _box(x, y, 1.0, 1.0, 2.2, 9.5)


MARKS: dict[str, tuple[tuple[int, int, int], Callable[[Grid, Grid], Mask]]] = {
    "run": (INDIGO, _run_mark),
    "verify": (PLUM, _verify_mark),
    "next": (OCHRE, _next_mark),
}
"""Command, and the colour and shape of its mark, on a square of 16 by 16."""


def icon(command: str, pixels: int) -> bytes:
    r"""Return the icon of a command as a PNG file.

    Parameters
    ----------
    command
        One of the names in ``MARKS``.
    pixels
        Length of its side.

    Examples
    --------
    >>> icon("run", 16)[:8]
    b'\x89PNG\r\n\x1a\n'
    """
    step = (np.arange(pixels * _FINER, dtype=np.float64) + 0.5) * 16.0 / (pixels * _FINER)
    x, y = np.meshgrid(step, step)
    colour, mark = MARKS[command]
    layers = (
        (SAND, _box(x, y, 7.0, 10.5, 16.0, 15.5) | _box(x, y, 10.5, 4.5, 16.0, 9.8)),  # old lift, new lift
        (
            INK,
            _box(x, y, 8.6, 3.0, 10.0, 12.0) | _stroke(x, y, (9.3, 11.6, 12.4, 13.0), 1.1),
        ),  # panel, anchor
        (colour, mark(x, y)),
    )
    painted = np.zeros((pixels * _FINER, pixels * _FINER, 4))
    for (red, green, blue), mask in layers:
        painted[mask] = (red, green, blue, 255.0)
    blocks = painted.reshape(pixels, _FINER, pixels, _FINER, 4)
    cover = blocks[..., 3].mean(axis=(1, 3))
    total = np.maximum((blocks[..., 3] > 0.0).sum(axis=(1, 3)), 1)
    image = np.zeros((pixels, pixels, 4), dtype=np.uint8)
    image[..., :3] = np.round(blocks[..., :3].sum(axis=(1, 3)) / total[..., None])
    image[..., 3] = np.round(cover)
    return png(image)


def png(image: npt.NDArray[np.uint8]) -> bytes:
    """Return rows of red, green, blue and opacity as a PNG file."""
    height, width, _ = image.shape

    def chunk(kind: bytes, content: bytes) -> bytes:
        body = kind + content
        return struct.pack(">I", len(content)) + body + struct.pack(">I", zlib.crc32(body))

    rows = b"".join(b"\0" + row.tobytes() for row in image)
    head = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows, 9))
        + chunk(b"IEND", b"")
    )
