"""The files of photographs in the media folder, under names that nobody can guess."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from pathlib import PurePosixPath

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from quoting.documents.photos import SIZES, Rewritten


def path_of(name: str, size: str) -> str:
    """Where a size of the photograph of this name lies in the media folder."""
    return str(PurePosixPath("photos", name[:2], f"{name}-{size}.jpg"))


def write_files(rewritten: Rewritten) -> str:
    """Keep the files under a new name that nobody can guess; gives the name."""
    name = secrets.token_hex(16)
    for size, content in rewritten.files.items():
        default_storage.save(path_of(name, size), ContentFile(content))
    return name


def read_file(name: str, size: str) -> bytes:
    """The bytes of one size. Raises FileNotFoundError."""
    with default_storage.open(path_of(name, size)) as file:
        return file.read()


def drop_files(names: Iterable[str]) -> None:
    """Take the files of these photographs away; what is gone already stays gone."""
    for name in names:
        for size in SIZES:
            default_storage.delete(path_of(name, size))
