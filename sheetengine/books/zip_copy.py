"""Copies a zip file with some members changed; all others keep every byte, compressed as they are."""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Mapping
from copy import copy
from typing import IO

_MEMBER_TIME = (1980, 1, 1, 0, 0, 0)
_LOCAL = struct.Struct("<4s5H3L2H")
_DATA_DESCRIPTOR = 0x08
_ZIP64 = 1
_BLOCK = 1 << 20


def write_copy(
    source: zipfile.ZipFile,
    stream: IO[bytes],
    *,
    changed: Mapping[str, bytes],
    removed: frozenset[str],
    added: Mapping[str, bytes],
) -> None:
    """Write a copy of a zip file.

    Members keep their order, time and attributes; those added stand behind. The same changes to the same file give
    the same bytes.

    Parameters
    ----------
    source
        The zip file to copy, open for reading.
    stream
        Where the copy goes.
    changed
        New content of members, by name.
    removed
        Names of members to leave out.
    added
        Content of new members, by name.
    """
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as target:
        target.comment = source.comment
        for member in source.infolist():
            if member.orig_filename in removed or member.filename in removed:
                continue
            if member.filename in changed:
                target.writestr(_fresh(member), changed[member.filename])
            else:
                _copy_member(source, member, target)
        for name, content in added.items():
            target.writestr(new_member(name), content)


def new_member(name: str) -> zipfile.ZipInfo:
    """Return the entry of a new member, without a time of its own."""
    info = zipfile.ZipInfo(name, _MEMBER_TIME)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    return info


def _fresh(member: zipfile.ZipInfo) -> zipfile.ZipInfo:
    """Return the entry of a member whose content changes."""
    info = zipfile.ZipInfo(member.filename, member.date_time)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr, info.create_system, info.comment = (
        member.external_attr,
        member.create_system,
        member.comment,
    )
    return info


def _copy_member(source: zipfile.ZipFile, member: zipfile.ZipInfo, target: zipfile.ZipFile) -> None:
    """Copy a member without unpacking it."""
    read, write = source.fp, target.fp
    if read is None or write is None:
        raise ValueError("the zip file is closed")
    read.seek(member.header_offset)
    local = _LOCAL.unpack(read.read(_LOCAL.size))
    if local[0] != b"PK\x03\x04":
        raise zipfile.BadZipFile(f"no member stands where {member.filename} should")
    read.seek(local[9], 1)
    extra = read.read(local[10])
    info = copy(member)
    info.flag_bits &= ~_DATA_DESCRIPTOR  # sizes go into the header that stands before the data
    info.extra = _without_zip64(extra)
    info.header_offset = write.tell()
    write.write(info.FileHeader())
    left = member.compress_size
    while left:
        block = read.read(min(left, _BLOCK))
        if not block:
            raise zipfile.BadZipFile(f"the member {member.filename} ends too early")
        write.write(block)
        left -= len(block)
    info.extra = _without_zip64(member.extra)
    target.filelist.append(info)
    target.NameToInfo[info.filename] = info
    target.start_dir = write.tell()
    target._didModify = True  # type: ignore[attr-defined]


def _without_zip64(extra: bytes) -> bytes:
    """Return the extra fields of a member without the one for long sizes, which is made anew where it is needed."""
    kept, at = [], 0
    while at + 4 <= len(extra):
        kind, size = struct.unpack_from("<HH", extra, at)
        if kind != _ZIP64:
            kept.append(extra[at : at + 4 + size])
        at += 4 + size
    return b"".join([*kept, extra[at:]])
