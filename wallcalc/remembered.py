"""Results kept by key, refusals among them: so that walls that differ in what does not matter share the work."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

from wallcalc.errors import OptionError

Made = TypeVar("Made")


class Remembered(Generic[Made]):
    """The last results of something slow, by key.

    Parameters
    ----------
    most : int
        How many are kept.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self._lock = Lock()
        self.kept: OrderedDict[Hashable, Made | OptionError] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """Return what was made for a key before, or make it.

        Raises OptionError: as raised when it was made.
        """
        with self._lock:  # a slow layout is worked out on a thread of its own beside the controls
            found = self.kept.get(key)
            if found is not None:
                self.kept.move_to_end(key)
        if found is None:
            try:
                found = make()
            except OptionError as error:
                found = OptionError(error.refusals)
            with self._lock:
                self.kept[key] = found
                if len(self.kept) > self.most:
                    self.kept.popitem(last=False)
        if isinstance(found, OptionError):
            raise OptionError(found.refusals)
        return found
