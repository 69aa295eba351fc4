"""Cells of CSV files, written so that no spreadsheet runs what somebody typed, and read back as they were."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

LARGEST_FILE = 10 * 1024 * 1024  # bytes
RUNS_IN_A_SPREADSHEET = ("=", "+", "-", "@", "\t", "\r")


class NotText(ValueError):
    """A file that can't be read as text; the sentence says why, `line` where, 0 for the whole file."""

    def __init__(self, line: int, sentence: str) -> None:
        super().__init__(sentence)
        self.line = line


def text_of_file(content: bytes) -> str:
    """The text of a CSV file in UTF-8. Raises NotText."""
    if len(content) > LARGEST_FILE:
        raise NotText(0, "The file is larger than 10 MB.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise NotText(line, "The file is not in UTF-8. Save it as “CSV UTF-8”.") from error
    if "\0" in text:
        raise NotText(0, "The file holds a character with the code 0: it is not a text file.")
    return text


def csv_line(cells: Sequence[str]) -> str:
    """One line of a CSV file."""
    buffer = io.StringIO()
    csv.writer(buffer).writerow(cells)
    return buffer.getvalue()


def harmless(text: str) -> str:
    """A text with a ' before it, where a spreadsheet would run it."""
    return f"'{text}" if text.startswith(RUNS_IN_A_SPREADSHEET) else text


def as_it_was(text: str) -> str:
    """The text before `harmless` saw to it."""
    return text[1:] if text.startswith("'") and text[1:].startswith(RUNS_IN_A_SPREADSHEET) else text
