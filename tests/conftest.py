"""Which tests stay together when several processes share them."""

import pytest


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the cells of a notebook, and the tests of one browser page, in one process."""
    for item in items:
        path = item.path
        if path.suffix == ".ipynb":
            item.add_marker(pytest.mark.xdist_group(path.name))
        elif path.parent.name == "browser":
            # each worker that has such tests starts a JupyterLab of its own: one does
            item.add_marker(pytest.mark.xdist_group("browser"))
