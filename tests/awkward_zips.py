"""Ways in which programs write the zip file of a package."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

Zipped = Callable[[Path, Mapping[str, bytes]], None]


class Pipe(io.RawIOBase):
    """Cannot be wound back, so that sizes stand behind the data."""

    def __init__(self) -> None:
        self.content = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:
        self.content += data
        return len(data)


def _write(
    path: Path, parts: Mapping[str, bytes], kind: int = zipfile.ZIP_DEFLATED, level: int | None = None
) -> None:
    with zipfile.ZipFile(path, "w", kind, compresslevel=level) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def _stored(path: Path, parts: Mapping[str, bytes]) -> None:
    _write(path, parts, zipfile.ZIP_STORED)


def _hard(path: Path, parts: Mapping[str, bytes]) -> None:
    _write(path, parts, level=9)


def _mixed(path: Path, parts: Mapping[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        for place, (name, content) in enumerate(parts.items()):
            archive.writestr(name, content, (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)[place % 2])


def _descriptors(path: Path, parts: Mapping[str, bytes]) -> None:
    pipe = Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:  # type: ignore[arg-type]
        for name, content in parts.items():
            archive.writestr(name, content)
    path.write_bytes(pipe.content)


def _long_sizes(path: Path, parts: Mapping[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            with archive.open(name, "w", force_zip64=True) as stream:
                stream.write(content)


def _long_sizes_behind(path: Path, parts: Mapping[str, bytes]) -> None:
    pipe = Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:  # type: ignore[arg-type]
        for name, content in parts.items():
            with archive.open(name, "w", force_zip64=True) as stream:
                stream.write(content)
    path.write_bytes(pipe.content)


def _folders(path: Path, parts: Mapping[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for folder in ("_rels/", "xl/", "xl/worksheets/", "empty/"):
            archive.writestr(zipfile.ZipInfo(folder), b"")
        for name, content in parts.items():
            archive.writestr(name, content)


def _extras(path: Path, parts: Mapping[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.comment = b"kept, with PK\x05 in it"
        for place, (name, content) in enumerate(parts.items()):
            info = zipfile.ZipInfo(name, (2031, 4, 2, 7, 30, 2 * (place % 30)))
            info.compress_type, info.comment, info.create_system = zipfile.ZIP_DEFLATED, b"note", place % 4
            info.external_attr = 0o644 << 16 | place % 2
            info.extra = struct.pack("<HHHH", 0xA220, 4, place, 0)
            archive.writestr(info, content)


def _backwards(path: Path, parts: Mapping[str, bytes]) -> None:
    _write(path, dict(reversed(list(parts.items()))))


def _in_front(path: Path, parts: Mapping[str, bytes]) -> None:
    """Put a few bytes between the members, as programs do that write a member again in place."""
    with path.open("wb") as stream, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
            stream.seek(archive.start_dir)
            stream.write(b"\0" * 7)
            archive.start_dir = stream.tell()


ZIPPED: dict[str, Zipped] = {
    "nothing compressed": _stored,
    "compressed hard": _hard,
    "every other member compressed": _mixed,
    "sizes behind the data": _descriptors,
    "long sizes": _long_sizes,
    "long sizes behind the data": _long_sizes_behind,
    "folders listed": _folders,
    "comments, times and extra fields": _extras,
    "members backwards": _backwards,
    "gaps between members": _in_front,
}
