"""The quantity surveyor's counts as CSV and Parquet, each row with the revision it came from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from sheetengine.exceptions import BookUnwritable
from sheetengine.job import Job, Results
from sheetengine.sheets.results import shown_frame

TAKEN = ("Embed counts", "Bar counts", "Dimension rows")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""First characters that make a spreadsheet take a text for a formula, the full-width forms among them."""


def safe_text(value: object) -> object:
    """Return a text that no spreadsheet takes for a formula when it opens the CSV; other values as they are.

    >>> safe_text("=1+1"), safe_text("B1"), safe_text(3.0)
    ("'=1+1", 'B1', 3.0)
    """
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS):
        return "'" + value
    return value


def counts_of(job: Job, results: Results, book: str, *, us: bool) -> dict[str, pd.DataFrame]:
    """Return the count frames with book, project, revision and digest in every row.

    ``us`` chooses US customary units; books counted together are in one set of units.
    """
    frames = {}
    for name in TAKEN:
        frame = shown_frame(name, results.frames[name], us)
        for place, (heading, value) in enumerate(
            (
                ("Book", book),
                ("Project", job.text("Project")),
                ("Revision", job.text("Revision")),
                ("Digest", results.digest[:16]),
            )
        ):
            frame.insert(place, heading, value)
        frames[name] = frame
    return frames


def _whole_counts(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with counts that are all whole as whole numbers."""
    for name in ("Count", "For payment", "Number"):
        if name in frame.columns and (frame[name].dropna() % 1 == 0).all():
            frame[name] = frame[name].astype("Int64")
    return frame


def write_counts(frames: Sequence[dict[str, pd.DataFrame]], folder: Path) -> list[Path]:
    """Write the counts of several books into one CSV and one Parquet file for each kind; return the files.

    Raises
    ------
    BookUnwritable
        The folder or a file in it could not be written.
    """
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in TAKEN:
            together = pd.concat([entry[name] for entry in frames], ignore_index=True)
            for key in ("Block", "Lift", "Bar mark"):
                if key in together.columns:
                    together[key] = together[key].map(str)
            stem = folder / name.lower().replace(" ", "_")
            together = _whole_counts(together)
            csv, parquet = stem.with_suffix(".csv"), stem.with_suffix(".parquet")
            together.map(safe_text).to_csv(
                csv, index=False, encoding="utf-8-sig", date_format="%Y-%m-%d %H:%M"
            )
            together.to_parquet(parquet, index=False)
            written += [csv, parquet]
    except OSError as error:
        raise BookUnwritable(
            f"{folder}: the counts could not be written ({error.strerror}). Choose another folder with --to."
        ) from error
    return written
