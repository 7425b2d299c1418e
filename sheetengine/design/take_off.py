"""Tools of the take-off: totals, numbers in use at once, parts of an anchor from their text, the store."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.cells import CellRef
from sheetengine.columns import Column, Rows, Table, Texts, moment_of, texts
from sheetengine.findings import Code, Finding, Level

Columns = dict[str, NDArray[Any]]
"""Columns of one table by heading, in the order of its headings."""

ROUNDING_SLACK = 1e-9
"""Share of a total that is taken for rounding error before it is rounded up."""


def plain_key(value: object) -> str:
    """Return a key as text, with letter case, spacing and a trailing ``.0`` forgiven.

    >>> plain_key(3.0), plain_key(3), plain_key(" Sleeve  DN 50")
    ('3', '3', 'sleeve dn 50')
    """
    if isinstance(value, float | np.floating) and float(value).is_integer():
        return str(int(value))
    return re.sub(r"\s+", " ", str(value)).strip().casefold()


def grouped(*keys: Texts) -> tuple[Rows, Rows]:
    """Return the first row of every group of like keys, and the group of every row.

    Groups stand in the order in which they first appear.

    >>> first, group = grouped(texts(["b", "a", "B"]))
    >>> first.tolist(), group.tolist()
    ([0, 1], [0, 1, 0])
    """
    rows = keys[0].size
    if not rows:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    joined = np.array(["\x1f".join(map(plain_key, row)) for row in zip(*keys, strict=True)])
    _, first, group = np.unique(joined, return_index=True, return_inverse=True)
    order = np.argsort(first)
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    return np.asarray(first[order], dtype=np.int64), np.asarray(place[group], dtype=np.int64)


def summed(values: Column, group: Rows, groups: int) -> Column:
    """Return the sum of ``values`` in each group; one ``nan`` makes its own group ``nan`` and no other.

    >>> summed(np.array([1.0, np.nan, 2.0]), np.array([0, 1, 0]), 2)
    array([ 3., nan])
    """
    return np.asarray(np.bincount(group, weights=values, minlength=groups), dtype=np.float64)


def totals(columns: Mapping[str, NDArray[Any]], keys: Sequence[str], sums: Sequence[str]) -> Columns:
    """Return the columns ``sums`` added up over rows alike in ``keys``."""
    first, group = grouped(*(columns[name] for name in keys))
    result: Columns = {name: columns[name][first] for name in keys}
    for name in sums:
        result[name] = summed(columns[name], group, first.size)
    return result


def whole_up(values: Column) -> Column:
    """Return ``values`` rounded up to whole numbers, rounding error left out of account.

    50 x 1.1 is 55.00000000000001 in the machine and stays 55.

    >>> whole_up(np.array([50 * 1.1, 55.01, np.nan]))
    array([55., 56., nan])
    """
    return np.asarray(np.ceil(values - ROUNDING_SLACK * np.abs(values)), dtype=np.float64)


def greatest_in_use(
    *, number: Column, start: Column, end: Column, group: Rows, groups: int
) -> tuple[Column, Column]:
    """Return, for each group, the greatest number in use at once and when it is first reached.

    What is set in the hour in which other parts come free is taken to need parts of its own: both count
    at that hour.

    Parameters
    ----------
    number
        How many come into use together. [-]
    start
        Hour from which they are in use; ``nan``: from before anything else. [h]
    end
        Hour at which they come free; ``nan``: never. Not before ``start``. [h]
    group
        Group of every row.
    groups
        Number of groups.

    Returns
    -------
    tuple of Column
        Greatest number, ``nan`` for a group with an unknown number; hour at which it is first reached,
        ``nan`` where that is unknown or before anything else. [-], [h]

    Examples
    --------
    Ten from hour 0 to 48, ten from 24 to 72, ten from 48 on. By hand: 10, 20, at 48 the first ten still
    count beside the last, so 30; then 20.

    >>> greatest, when = greatest_in_use(
    ...     number=np.array([10.0, 10.0, 10.0]),
    ...     start=np.array([0.0, 24.0, 48.0]),
    ...     end=np.array([48.0, 72.0, np.nan]),
    ...     group=np.array([0, 0, 0]),
    ...     groups=1,
    ... )
    >>> greatest, when
    (array([30.]), array([48.]))
    """
    unknown = np.bincount(group, weights=np.isnan(number), minlength=groups) > 0.0
    counted = np.where(np.isnan(number), 0.0, number)
    hour = np.concatenate((np.where(np.isnan(start), -np.inf, start), np.where(np.isnan(end), np.inf, end)))
    change = np.concatenate((counted, -counted))
    leaves = np.repeat([False, True], number.size)
    owner = np.concatenate((group, group))

    order = np.lexsort((leaves, hour, owner))
    hour, change, owner = hour[order], change[order], owner[order]
    running = np.cumsum(change)
    _, opening, member = np.unique(owner, return_index=True, return_inverse=True)
    level = running - (running - change)[opening][member]

    greatest = np.zeros(groups)
    np.maximum.at(greatest, owner, level)
    reached = (level == greatest[owner]) & (change > 0.0)
    when = np.full(groups, np.inf)
    np.minimum.at(when, owner[reached], hour[reached])
    return np.where(unknown, np.nan, greatest), np.where(unknown | ~np.isfinite(when), np.nan, when)


@dataclass(frozen=True, slots=True)
class Part:
    """One kind of part of an anchor: its name, empty where it has none, and how many an anchor."""

    name: str
    each: float
    fault: str = ""


_SEPARATORS = re.compile(r"[;,\r\n]+")
_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_COUNT_FIRST = re.compile(rf"^({_NUMBER})(?:\s*[×*]\s*|\s*[xX]\s+|[xX](?=[^\W\d])|\s+(?![xX]\s*$))(.+)$")
_COUNT_LAST = re.compile(rf"^(.*\S)(?:\s*[×*]\s*|\s+[xX]\s*)({_NUMBER})$")
_BARE_NUMBER = re.compile(rf"^{_NUMBER}(?:e[+-]?\d+)?$", re.IGNORECASE)
_LONE_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])")
_ENDS_IN_SIZE = re.compile(r"\d\s*(?:mm|cm|m|in|inch|ft)?$", re.IGNORECASE)
_ENDS_IN_TIMES = re.compile(r"[xX]\d+$")
_UNIT_WORD = re.compile(r"^(?:mm|cm|dm|m|in|inch|inches|ft|kg|kn|deg|dia|diameter)\b", re.IGNORECASE)
_NONE = frozenset(("none", "nil", "no", "-", "–"))


def _counted(name: str, number: str, piece: str) -> Part:
    each = float(number)
    if each < 0.0 or not each.is_integer():
        return Part(name, np.nan, f"{number} in '{piece}' is no number of parts")
    return Part(name, each)


def _part_of(piece: str) -> Part:
    """Return the part that one piece of the text names; what can be read in two ways is a fault."""
    if _BARE_NUMBER.match(piece):
        return Part("", np.nan, f"'{piece}' stands without the name of a part")
    first = _COUNT_FIRST.match(piece)
    if first is not None:
        number, name = first[1], first[2].strip()
        if name[0].isalpha() and not _UNIT_WORD.match(name):
            return _counted(name, number, piece)
        return Part(piece, np.nan, f"'{piece}' leaves open what is the count and what is a size")
    last = _COUNT_LAST.match(piece)
    if last is not None and not _ENDS_IN_SIZE.search(last[1]) and last[1][0].isalpha():
        return _counted(last[1].strip(), last[2], piece)
    if last is not None or _LONE_NUMBER.search(piece) or _ENDS_IN_TIMES.search(piece) or piece[0].isdigit():
        return Part(piece, np.nan, f"'{piece}' leaves open what is the count and what is a size")
    if not re.search(r"[^\W\d_]", piece):
        return Part(piece, np.nan, f"'{piece}' is no name of a part")
    return Part(piece, 1.0)


def parts_of(text: str) -> list[Part]:
    """Return the parts of one anchor: a number of unnamed parts, or names with counts.

    Pieces are separated by ``;``, a comma or a line break. A count stands before or behind the name; a name
    alone counts once. A count of ``nan`` comes with the fault that is to be told.

    >>> [(part.name, part.each) for part in parts_of("cast-in head; 2 x spacer; cone x 3")]
    [('cast-in head', 1.0), ('spacer', 2.0), ('cone', 3.0)]
    >>> parts_of("1"), parts_of("0")
    ([Part(name='', each=1.0, fault='')], [])
    >>> parts_of("bolt M20 x 300")[0].fault
    "'bolt M20 x 300' leaves open what is the count and what is a size"
    """
    text = text.strip()
    if _BARE_NUMBER.match(text):
        unnamed = _counted("", text, text)
        return [] if unnamed.each == 0.0 else [unnamed]
    if text.casefold() in _NONE:
        return []
    pieces = [piece.strip() for piece in _SEPARATORS.split(text) if piece.strip()]
    if not pieces:
        return [Part("", np.nan, "no part is named")]
    kept: dict[str, Part] = {}
    for part in map(_part_of, pieces):
        key = plain_key(part.name)
        before = kept.get(key, Part(part.name, 0.0))
        kept[key] = Part(before.name, before.each + part.each, before.fault or part.fault)
    return [part for part in kept.values() if part.each != 0.0]


def object_column(value: object, rows: int) -> Texts:
    """Return a text column that holds ``value`` in every row."""
    return texts([value] * rows)


def against_stock(stock: Table, by_item: Columns, places: Sequence[CellRef]) -> tuple[Columns, list[Finding]]:
    """Set the totals by item against the store.

    Parameters
    ----------
    stock
        Table ``Stock``; without rows nothing is set against it.
    by_item
        Columns ``Item``, ``Fate``, ``To order``, ``Reached``.
    places
        For each item, the cell to point at where the store does not list it.

    Returns
    -------
    tuple
        Columns ``On hand`` and ``Short``, both for the item whatever its fate and ``nan`` where no stock is
        given or a count is not known; findings.
    """
    items = by_item["Item"]
    blank = np.full(items.size, np.nan)
    if not len(stock):
        return {"On hand": blank, "Short": blank.copy()}, []
    keys = [plain_key(item) for item in items]
    listed = {plain_key(name): row for row, name in enumerate(stock.raw["item"])}
    row = np.array([listed.get(key, -1) for key in keys], dtype=np.int64)
    on_hand = np.where(row < 0, 0.0, stock.number("on_hand")[row])
    first, group = grouped(items)
    wanted = summed(by_item["To order"], group, first.size)[group]
    short = np.maximum(wanted - on_hand, 0.0)
    comes_back = summed((by_item["Fate"] == "recovered").astype(np.float64), group, first.size)[group] > 0.0

    findings = []
    for item in first[short[first] > 0.0].tolist():
        when = moment_of(by_item["Reached"][item])
        reached = f" from {when:%Y-%m-%d %H:%M} on" if when is not None else ""
        use = f"are in use at once{reached}" if comes_back[item] else "are needed, waste included"
        findings.append(
            Finding(
                Level.ACCEPT if comes_back[item] else Level.NOTE,
                Code.EXCEEDS if comes_back[item] else Code.PLAUSIBILITY,
                stock.at(int(row[item]), "on_hand") if row[item] >= 0 else places[item],
                f"{wanted[item]:g} of {items[item]} {use}, {on_hand[item]:g} on hand"
                + ("." if row[item] >= 0 else " (not listed in Stock)."),
                found=float(on_hand[item]),
                limit=f"{wanted[item]:g}",
                clears=f"Order or hire {short[item]:g} more"
                + (", or move the dates so that fewer are in use at once." if comes_back[item] else "."),
                keys=(str(items[item]),),
                heading="On hand",
            )
        )
    for name in sorted(set(listed) - set(keys)):
        item = listed[name]
        findings.append(
            Finding(
                Level.NOTE,
                Code.UNKNOWN_NAME,
                stock.at(item, "item"),
                f"{stock.raw['item'][item]} is not among the counted items, so it is set against nothing.",
                found=stock.raw["item"][item],
                limit="an item of Embed counts",
                clears="Name the item as Embed counts names it.",
                keys=(str(stock.raw["item"][item]),),
                heading="Item",
            )
        )
    return {"On hand": on_hand, "Short": short}, findings
