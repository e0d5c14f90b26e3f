"""What was checked and on what: the program as installed, the computer, and the libraries that do its arithmetic."""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.metadata import version
from importlib.resources import files
from importlib.resources.abc import Traversable

import numpy as np

_PACKAGES = ("sessions", "solver", "tui")
_ENDINGS = (".py", ".csv", ".html", ".toml")


@dataclass(frozen=True, slots=True)
class Computer:
    """Where a self-check was run.

    Parameters
    ----------
    program : str
        Version of Fullturn.
    program_sha256 : str
        Digest of the installed program: tells two copies of one version apart if anything was changed.
    name, system, machine : str
        Name of the computer, operating system with its version, and processor architecture.
    python, numpy, scipy, blas : str
        Versions of the interpreter and of the libraries; of the BLAS also its name.
    """

    program: str
    program_sha256: str
    name: str
    system: str
    machine: str
    python: str
    numpy: str
    scipy: str
    blas: str


def this_computer() -> Computer:
    """Describe the computer that this runs on."""
    return Computer(
        program=version("fullturn"),
        program_sha256=program_digest(),
        name=platform.node(),
        system=f"{platform.system()} {platform.release()}",
        machine=platform.machine(),
        python=f"{platform.python_implementation()} {platform.python_version()}",
        numpy=version("numpy"),
        scipy=version("scipy"),
        blas=_blas(),
    )


def program_digest() -> str:
    """Return the SHA-256 of all files of the program by their names, line ends as on Linux."""
    return digest_of({package: files(package) for package in _PACKAGES})


def digest_of(folders: Mapping[str, Traversable]) -> str:
    """Return the SHA-256 of the files of the program in these folders, each folder by its name."""
    digest = hashlib.sha256()
    for package, folder in folders.items():
        for name, data in _contents(folder, package):
            digest.update(f"{name}\n{len(data)}\n".encode())
            digest.update(data)
    return digest.hexdigest()


def _contents(folder: Traversable, path: str) -> list[tuple[str, bytes]]:
    """Return the files below a folder, in the order of their names."""
    found: list[tuple[str, bytes]] = []
    for entry in sorted(folder.iterdir(), key=lambda each: each.name):
        name = f"{path}/{entry.name}"
        if entry.is_dir():
            found += _contents(entry, name)
        elif entry.name.endswith(_ENDINGS):
            found.append((name, entry.read_bytes().replace(b"\r\n", b"\n")))
    return found


def _blas() -> str:
    built = np.show_config(mode="dicts") or {}
    blas = built.get("Build Dependencies", {}).get("blas", {})
    return f"{blas.get('name', 'not known')} {blas.get('version', '')}".strip()
