"""Cells of CSV files, written so that no spreadsheet runs what somebody typed, and read back as they were."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

RUNS_IN_A_SPREADSHEET = ("=", "+", "-", "@", "\t", "\r")


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
