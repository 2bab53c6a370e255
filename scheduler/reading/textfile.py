"""Bytes on disk -> clean text, or one fault that says what is in the way. Every reader starts here."""

from __future__ import annotations

import codecs
import os
from pathlib import Path

from scheduler.errors import InputError, Place, printable, untyped_character, wrong_input
from scheduler.told import told

MAX_BYTES = 1 << 20
"""A job, a profile or a season of hourly readings is far below this; a larger file is some other file."""

_OTHER_ENCODINGS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)


def shown(path: Path) -> str:
    """The path as the person gave it, in characters that can be printed anywhere."""
    return printable(os.fsencode(path).decode("utf-8", "replace"))


def place_in(text: str, offset: int, name: str) -> Place:
    """Line and column, from 1, of an offset into a text."""
    before = text[:offset].replace("\r\n", "\n").replace("\r", "\n")
    return Place(name, before.count("\n") + 1, len(before) - before.rfind("\n"))


def check_text(text: str, name: str) -> str:
    """The text without its byte order mark. Raises InputError for a character that no person typed."""
    text = text.removeprefix("\ufeff")
    found = untyped_character(text)
    if found is not None:
        offset, said = found
        place = place_in(text, offset, name)
        raise wrong_input(place, told("{said} stands here", said=said), "take it out; a text file holds none")
    return text


def read_text(path: Path, limit: int = MAX_BYTES) -> str:
    """The text of a UTF-8 file (with or without byte order mark).

    Raises InputError with one fault if it can't be opened, is larger than `limit` bytes, is in another encoding,
    or holds characters that no person typed.
    """
    name = shown(path)
    data = read_bytes(path, limit)
    if any(len(half) > 1 and not half.strip(b"\0") for half in (data[:16:2], data[1:16:2])):
        raise _other_encoding(name, "UTF-16")  # without a mark: every other byte of the first letters is nought
    try:
        return check_text(data.decode("utf-8"), name)
    except UnicodeDecodeError as error:
        place = place_in(data[: error.start].decode("utf-8"), error.start, name)
        said = told("the byte {data} is no UTF-8", data=f"{data[error.start]:#04x}")
        raise wrong_input(place, said, "save the file as UTF-8") from None


def read_bytes(path: Path, limit: int = MAX_BYTES) -> bytes:
    """The bytes of a file. Raises InputError if it can't be opened, is too large, or is UTF-16 or UTF-32."""
    name = shown(path)
    data = _bytes_of(path, name, limit)
    for mark, encoding in _OTHER_ENCODINGS:
        if data.startswith(mark):
            raise _other_encoding(name, encoding)
    return data


def _other_encoding(name: str, encoding: str) -> InputError:
    return wrong_input(name, told("the file is written in {encoding}", encoding=encoding), "save it as UTF-8")


def _kind(path: Path) -> str:
    """What stands there that can't be read as a file."""
    kinds = {
        "a folder": path.is_dir(),
        "a pipe (FIFO)": path.is_fifo(),
        "a socket": path.is_socket(),
        "a device": path.is_char_device() or path.is_block_device(),
    }
    return next((kind for kind, is_so in kinds.items() if is_so), "something else")


def _bytes_of(path: Path, name: str, limit: int) -> bytes:
    try:
        if path.exists() and not path.is_file():
            raise wrong_input(name, told("this is {kind}, no file", kind=_kind(path)), "name a text file")
        with path.open("rb") as file:
            data = file.read(limit + 1)
    except FileNotFoundError:
        raise wrong_input(name, "there is no such file", "check the name and the folder") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "the name is no file name"
        hint = "check the name and the rights"
        raise wrong_input(name, told("the file can't be read ({reason})", reason=reason.lower()), hint) from None
    if len(data) > limit:
        said = told("the file is larger than {limit} KiB", limit=limit >> 10)
        raise wrong_input(name, said, "check that it is the right file, or split it")
    return data
