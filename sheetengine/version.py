"""Version of the engine, as the package is installed."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version


def engine_version() -> str:
    """Return the version of the installed package."""
    try:
        return version("sheetengine")
    except PackageNotFoundError:
        return "not installed"
