"""A set of files that takes the place of the last set in a folder as a whole, whenever it is stopped.

All work is done in a folder of its own inside the target, so that every move is a rename on one file system:

1. the new files are written into ``new``, complete and on the disk;
2. the files of the last set are moved into ``old``;
3. ``new`` is renamed to ``ready``: from here on the new set counts, until here the old one;
4. what is in ``ready`` is moved in place, then ``old`` is deleted, then ``ready``.

So where ``ready`` is there the set is finished, otherwise what is in ``old`` is put back: by the export itself when
anything goes wrong, and after a kill by the next export or reading (:func:`settle`).
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO

UNFINISHED = "unfinished wallcalc export"
"""Name of the folder for the work, for a person to see when an export was killed."""
NEW, READY, OLD, LOCK = "new", "ready", "old", "lock"
TRIES = 10


class NotWrittenError(OSError):
    """Files that could not be written, with the path and the reason; the old ones are as they were."""


def replace_set(folder: Path, old: Iterable[str], contents: Mapping[str, bytes]) -> None:
    """Put files in place of those of the last set that are named in ``old``; the last of the new comes last.

    The folder is held by :func:`alone`. Raises the OSError of a move that failed, the old files as they were.
    """
    work = folder / UNFINISHED
    try:
        (work / NEW).mkdir()
        for name, content in contents.items():
            with (work / NEW / name).open("xb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
        _sync(work / NEW)
        (work / OLD).mkdir()
        for name in old:
            os.replace(folder / name, work / OLD / name)
        _sync(work / OLD)
        os.rename(work / NEW, work / READY)
        _sync(work)
    finally:
        _finish(folder, [*contents])


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Hold a folder against any other export, what a killed one left put right; NotWrittenError when it is held."""
    work = folder / UNFINISHED
    stream = _lock(work)
    try:
        _finish(folder)
        yield
    finally:
        with contextlib.suppress(OSError):
            (work / LOCK).unlink()
        stream.close()
        with contextlib.suppress(OSError):  # where an open file cannot be deleted
            (work / LOCK).unlink()
        with contextlib.suppress(OSError):
            work.rmdir()


def settle(folder: Path) -> None:
    """Finish or undo what a killed export left in a folder, if it did."""
    if (folder / UNFINISHED).is_dir():
        with alone(folder):
            pass


def _finish(folder: Path, order: Iterable[str] = ()) -> None:
    """Move the new set in place where it counts, else the old one back; clear the work away."""
    work = folder / UNFINISHED
    source = work / READY if (work / READY).is_dir() else work / OLD
    if source.is_dir():
        there = os.listdir(source)
        for name in [*(n for n in order if n in there), *(n for n in there if n not in order)]:
            os.replace(source / name, folder / name)
        _sync(folder)
    with contextlib.suppress(OSError):  # what cannot be deleted now is at the next export
        for part in (
            OLD,
            NEW,
            READY,
        ):  # in this order: an old file left beside no ``ready`` would be put back
            if (work / part).is_dir():
                shutil.rmtree(work / part)
                _sync(work)


def _lock(work: Path) -> IO[bytes]:
    """Return the lock file, held until it is closed or its process ends."""
    if work.is_symlink() or (work.exists() and not work.is_dir()):
        raise NotWrittenError(f"cannot write to {work.parent}: {work.name} there is no folder; take it away")
    for _ in range(TRIES):
        try:
            work.mkdir(exist_ok=True)
            stream = (work / LOCK).open("ab")
        except FileNotFoundError:  # the export that had it is just clearing it away
            continue
        try:
            _hold(stream)
            if os.path.samestat(os.fstat(stream.fileno()), os.stat(work / LOCK)):
                return stream
        except FileNotFoundError:
            pass
        except (BlockingIOError, PermissionError) as error:
            stream.close()
            raise _busy(work.parent) from error
        stream.close()
    raise _busy(work.parent)


def _busy(folder: Path) -> NotWrittenError:
    return NotWrittenError(
        f"cannot write to {folder}: another export into it is under way; wait until it is done"
    )


def _hold(stream: IO[bytes]) -> None:
    if os.name == "nt":
        import msvcrt

        msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)


def _sync(folder: Path) -> None:
    """Have the names in a folder on the disk, where folders can be opened for it."""
    with contextlib.suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)
