"""Where the data tables and the lessons lie, in a checkout and in an installed wheel alike."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    installed = _PACKAGE / f"_{name}"
    if installed.is_dir():
        return installed
    checkout = _PACKAGE.parent / name
    if checkout.is_dir():
        return checkout
    raise FileNotFoundError(
        f"the folder {name!r} belongs to kilncalc but is neither in {installed} nor in {checkout}; "
        "install kilncalc again"
    )


def datasets() -> Path:
    """Return the folder of the data tables."""
    return _folder("datasets")


def lessons() -> Path:
    """Return the folder of the lessons as shipped (read only: people work in a copy)."""
    return _folder("lessons")
