"""The price book: what can be bought, at what price, with what physical values."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, replace
from functools import lru_cache
from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.errors import PriceError, Problem
from wallcalc.incoming import hint
from wallcalc.shipped import data_folder
from wallcalc.trade.price_file import BOARD_KINDS, GROUPS, PRICE_FILE, PriceRow, read_prices
from wallcalc.trade.price_records import (
    NEEDED_UNITS,
    BoardProduct,
    FillProduct,
    Item,
    SheetStock,
    SlabStock,
    TimberStock,
)
from wallcalc.trade.rules import SHIPPED, Rules, canonical_digest
from wallcalc.units.lengths import MM
from wallcalc.units.money import parse_price

__all__ = [
    "NEEDED_UNITS",
    "BoardProduct",
    "FillProduct",
    "Item",
    "PriceBook",
    "SheetStock",
    "SlabStock",
    "TimberStock",
]

WALL_SIZES = ("metric", "inch")
PACKED = ("screw", "fixing", "tape", "compound", "sealant", "adhesive")
"""Groups of what is bought by the pack; the rules name their products by ``order.*``."""

BOARD_RULES = ("board.default", "board.default_wet", "board.default_skim", "pattress.product")
"""Rules that name a product bought by the sheet."""


class PriceBook:
    """A catalogue with prices; never changed once made.

    Two books are equal when their content is, whatever file it came from and in whatever order its rows stood.

    Attributes
    ----------
    name : str
        The file's name without its ending.
    currency : str
        Currency code of every price.
    digest : str
        SHA-256 of the content; line endings, separators and the order of rows and columns do not matter to it.
    """

    def __init__(self, name: str, rows: tuple[PriceRow, ...]) -> None:
        self.name = name
        self.currency = rows[0].currency
        self._rows = {row.code: row for row in sorted(rows, key=_order)}
        self._found: dict[tuple[str, ...], tuple[Any, ...]] = {}
        self.digest = canonical_digest({row.code: asdict(row) for row in rows})

    @classmethod
    def load(cls, path: str | PathLike[str] | None = None, rules: Rules | None = None) -> PriceBook:
        """Return the price book of a file.

        Parameters
        ----------
        path : path-like or None
            The file; None for the demo book that comes with wallcalc (invented values).
        rules : Rules or None
            The rules whose products the book has to sell; None: those of each shipped set in whose sizes, metric
            or inch, the book sells timber or boards.

        Returns
        -------
        PriceBook

        Raises
        ------
        PriceError
            With every problem of the file at once, each with its line and column; and with everything that a
            design needs and the book does not sell.
        """
        file = data_folder() / "prices.csv" if path is None else path
        return cls.loads(PRICE_FILE.content(file), Path(file).stem, rules, str(file))

    @classmethod
    def loads(cls, data: bytes, name: str, rules: Rules | None = None, where: str = "") -> PriceBook:
        """Return the price book of a file's content; see :meth:`load`.

        Parameters
        ----------
        data : bytes
            All of the file.
        name : str
            The book's name.
        rules : Rules or None
            The rules whose products the book has to sell.
        where : str
            What to call the file in messages; its name when empty.

        Returns
        -------
        PriceBook

        Raises
        ------
        PriceError
            As by :meth:`load`.
        """
        where = where or name
        book = cls(name, read_prices(data, where))
        asked = [rules] if rules is not None else _sets_served(book)
        problems = [problem for each in asked for problem in book.lacking(each)]
        if problems or not asked:
            nothing = Problem("timber", "no row", "rows of timber, and of all else that a wall is built of")
            raise PriceError(problems or [nothing], where)
        return book

    def lacking(self, rules: Rules) -> list[Problem]:
        """Return what a design by the rules would look for in the book in vain.

        Parameters
        ----------
        rules : Rules
            The rules: their sizes, boards and the products named by ``order.*``.

        Returns
        -------
        list of Problem
            One for each product, and for board screws that are too short for two layers of the thickest board.
        """
        sizes = str(rules.value("catalogue.sizes"))
        rows = [row for row in self._rows.values() if row.sizes in _sizes(sizes)]
        problems = []
        if not any(row.group == "timber" for row in rows):
            problems.append(Problem("timber", f"no row in {sizes} sizes", "rows of group timber"))
        asked: dict[tuple[tuple[str, ...], str], str] = {}
        for key in rules.keys():  # noqa: SIM118
            if key.startswith("order."):
                asked.setdefault((PACKED, str(rules.value(key))), key)
            elif key in BOARD_RULES:
                asked.setdefault((("sheet", "plywood"), str(rules.value(key))), key)
        for (groups, product), key in asked.items():
            if not any(row.product == product and row.group in groups for row in rows):
                accepted = (
                    f"rows of group {' or '.join(groups)} with this product, for the rules' {key} asks for it"
                )
                problems.append(Problem(f"product {product}", f"no row in {sizes} sizes", accepted))
        screws = [row.length for row in rows if row.product == rules.value("order.board_screw")]
        thick = max((row.thickness for row in rows if row.group == "sheet"), default=0)
        least = 2 * thick + rules.tenths("screw.penetration")
        if screws and max(screws) < least:
            found = f"none longer than {max(screws) / MM:g} mm in {sizes} sizes"
            accepted = f"one of {least / MM:g} mm or longer, for two layers of board of {thick / MM:g} mm"
            problems.append(Problem(f"product {rules.value('order.board_screw')}", found, accepted))
        return problems

    def timber(self, section: str, sizes: str = "metric") -> tuple[TimberStock, ...]:
        """Return the lengths in which a section is sold, shortest first.

        Parameters
        ----------
        section : str
            Thickness by depth in mm, such as "38x89".
        sizes : str
            "metric" or "inch".

        Returns
        -------
        tuple of TimberStock

        Raises
        ------
        KeyError
            When the section is not sold in these sizes.
        """
        return self._find(
            ("timber",), "section", section, sizes,
            lambda r: TimberStock(r.code, r.section, r.thickness, r.width, r.length, r.price, r.description),
        )  # fmt: skip

    def sheets(self, product: str, sizes: str = "metric") -> tuple[SheetStock, ...]:
        """Return the sheets in which a board product is sold, shortest first.

        Parameters
        ----------
        product : str
            Board product, such as "standard-12.5" or "ply-18".
        sizes : str
            "metric" or "inch".

        Returns
        -------
        tuple of SheetStock

        Raises
        ------
        KeyError
            When the product is not sold in these sizes.
        """
        return self._find(
            ("sheet", "plywood"), "product", product, sizes,
            lambda r: SheetStock(r.code, r.product, r.length, r.width, r.thickness, r.price, r.description),
        )  # fmt: skip

    def slabs(self, product: str, sizes: str = "metric") -> tuple[SlabStock, ...]:
        """Return the slabs in which a cavity fill is sold, by length and width.

        Parameters
        ----------
        product : str
            Fill product, such as "wool-50".
        sizes : str
            "metric" or "inch".

        Returns
        -------
        tuple of SlabStock

        Raises
        ------
        KeyError
            When the product is not sold in these sizes.
        """
        return self._find(
            ("slab",), "product", product, sizes,
            lambda r: SlabStock(
                r.code, r.product, r.length, r.width, r.thickness, int(r.pack), r.price, r.description
            ),
        )  # fmt: skip

    def board(self, product: str) -> BoardProduct:
        """Return what a board product is, whatever the sheet.

        Parameters
        ----------
        product : str
            Board product.

        Returns
        -------
        BoardProduct

        Raises
        ------
        KeyError
            When there is none of that name.
        """
        row = self._first(("sheet", "plywood"), product)
        description = row.description.rsplit(", ", 1)[0]
        return BoardProduct(product, row.thickness, row.surface_mass, row.board_kind, row.edge, description)

    def fill(self, product: str) -> FillProduct:
        """Return what a cavity fill is, whatever the slab.

        Parameters
        ----------
        product : str
            Fill product.

        Returns
        -------
        FillProduct

        Raises
        ------
        KeyError
            When there is none of that name.
        """
        row = self._first(("slab",), product)
        description = row.description.split(", ", 1)[0]
        return FillProduct(product, row.thickness, row.density, row.flow_resistivity, description)

    def boards(self, sizes: str = "metric") -> tuple[str, ...]:
        """Return the board products for linings: standard, moisture, dense, thin to thick.

        Parameters
        ----------
        sizes : str
            "metric" or "inch".

        Returns
        -------
        tuple of str
        """
        return self._products("sheet", _sizes(sizes))

    def fills(self, sizes: str = "metric") -> tuple[str, ...]:
        """Return the cavity fills, thin to thick.

        Parameters
        ----------
        sizes : str
            "metric" or "inch".

        Returns
        -------
        tuple of str
        """
        return self._products("slab", _sizes(sizes))

    def items(self, group: str) -> tuple[Item, ...]:
        """Return everything of a group, by product, length and pack.

        Parameters
        ----------
        group : str
            One of the groups, such as "screw" or "tape".

        Returns
        -------
        tuple of Item

        Raises
        ------
        KeyError
            When there is no such group.
        """
        if group not in GROUPS:
            raise KeyError(f"no group {group!r} in a price book; groups: {', '.join(GROUPS)}")
        return tuple(_item(row) for row in self._rows.values() if row.group == group)

    def item(self, code: str) -> Item:
        """Return one thing by its code.

        Parameters
        ----------
        code : str
            The code.

        Returns
        -------
        Item

        Raises
        ------
        KeyError
            When there is none of that code; the message names the nearest.
        """
        return _item(self._row(code))

    def with_price(self, code: str, price: int | str) -> PriceBook:
        """Return the same book with one price changed.

        Parameters
        ----------
        code : str
            The code.
        price : int or str
            The price in cents, or as text ("12.34").

        Returns
        -------
        PriceBook

        Raises
        ------
        KeyError
            When there is none of that code.
        PriceError
            When the price is none.
        """
        row = self._row(code)
        try:
            cents = parse_price(price) if isinstance(price, str) else price
        except ValueError:
            cents = -1
        if isinstance(cents, bool) or not isinstance(cents, int) or cents < 0:
            raise PriceError(
                [Problem(code, repr(price), "whole cents from 0, or a text such as 12.34")], self.name
            )
        return PriceBook(self.name, tuple((self._rows | {code: replace(row, price=cents)}).values()))

    def _row(self, code: str) -> PriceRow:
        try:
            return self._rows[code]
        except KeyError:
            raise KeyError(
                f"no code {code!r} in the price book {self.name!r}{hint(code, self._rows)}"
            ) from None

    def _find(
        self, groups: tuple[str, ...], column: str, name: str, sizes: str, make: Callable[[PriceRow], Any]
    ) -> tuple[Any, ...]:
        key = (groups[0], name, sizes)
        if key not in self._found:
            accepted = _sizes(sizes)
            rows = [r for r in self._rows.values() if r.group in groups and r.sizes in accepted]
            found = [r for r in rows if getattr(r, column) == name]
            if not found:
                names = sorted({getattr(r, column) for r in rows})
                where = f"in {sizes} sizes in the price book {self.name!r}"
                raise KeyError(f"no {groups[0]} {name!r} {where}; there are: {', '.join(names)}")
            self._found[key] = tuple(
                make(r) for r in sorted(found, key=lambda r: (r.length, r.width, r.code))
            )
        return self._found[key]

    def _first(self, groups: tuple[str, ...], product: str) -> PriceRow:
        rows = [r for r in self._rows.values() if r.group in groups]
        for row in rows:
            if row.product == product:
                return row
        names = dict.fromkeys(r.product for r in rows)
        raise KeyError(f"no {groups[0]} {product!r} in the price book {self.name!r}{hint(product, names)}")

    def _products(self, group: str, sizes: tuple[str, str]) -> tuple[str, ...]:
        rows = [r for r in self._rows.values() if r.group == group and r.sizes in sizes]
        return tuple(dict.fromkeys(r.product for r in rows))

    def __eq__(self, other: object) -> bool:
        return self.digest == other.digest if isinstance(other, PriceBook) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.digest)

    def __repr__(self) -> str:
        return f"PriceBook({self.name!r}, {len(self._rows)} rows, {self.currency}, {self.digest[:8]})"


def _order(row: PriceRow) -> tuple[Any, ...]:
    kind = BOARD_KINDS.index(row.board_kind) if row.board_kind else -1
    return (
        GROUPS.index(row.group),
        kind,
        row.thickness,
        row.product,
        row.length,
        row.width,
        row.pack,
        row.code,
    )


@lru_cache(maxsize=1)
def _shipped_sets() -> tuple[Rules, ...]:
    return tuple(Rules.load(name) for name in SHIPPED)


def _sets_served(book: PriceBook) -> list[Rules]:
    """Return the shipped rule sets in whose sizes a book sells timber or boards."""
    served = {row.sizes for row in book._rows.values() if row.group in ("timber", "sheet")}
    served = served - {"both"} or served  # what is sold in both asks nothing of its own
    return [r for r in _shipped_sets() if served & {"both", str(r.value("catalogue.sizes"))}]


def _sizes(sizes: str) -> tuple[str, str]:
    if sizes not in WALL_SIZES:
        raise KeyError(f"no sizes {sizes!r}; accepted: {', '.join(WALL_SIZES)}")
    return (sizes, "both")


def _item(row: PriceRow) -> Item:
    return Item(
        row.code,
        row.group,
        row.product,
        row.description,
        row.unit,
        row.pack,
        row.price,
        row.length,
        row.sizes,
    )
