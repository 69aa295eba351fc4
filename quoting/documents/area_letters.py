"""Areas by their letters, as short as they can be told: four and more in a row by the first and the last of them."""

from __future__ import annotations

from collections.abc import Iterable

FEWEST = 4


def told_letters(letters: Iterable[str]) -> list[str]:
    """A, B and D as they are; A, B, C, D, F as “A to D” and “F”. In the order in which they come."""
    runs: list[list[str]] = []
    for letter in letters:
        if runs and _place(letter) == _place(runs[-1][-1]) + 1 > 0:
            runs[-1].append(letter)
        else:
            runs.append([letter])
    return [words for run in runs for words in ([f"{run[0]} to {run[-1]}"] if len(run) >= FEWEST else run)]


def _place(letter: str) -> int:
    """A is 1, Z 26, AA 27; −1 for what is no letter of an area."""
    place = 0
    for each in letter:
        if not "A" <= each <= "Z":
            return -1
        place = place * 26 + ord(each) - 64
    return place or -1
