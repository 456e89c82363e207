"""A browser for the tests of this folder; without one they are skipped, saying why."""

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).parent
for _place in (HERE.parent / "workspace", HERE):
    sys.path.insert(0, str(_place))
from browsing import EXAMPLES, MISSING, Server, chromium, serving  # noqa: E402
from seeing import PATIENCE, opened, playwright_api, stock_opened, watched  # noqa: E402
from stock_cases import Stock  # noqa: E402


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser on a busy machine takes its time; only a standstill is a fault."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.timeout(2400))


@pytest.fixture(scope="module")
def browser() -> Iterator:
    path = chromium()
    if path is None:
        pytest.skip(MISSING)
    with playwright_api.sync_playwright() as playwright:
        made = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox"], timeout=PATIENCE
        )
        yield made
        made.close()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return Path(shutil.copy(EXAMPLES / "truss.toml", tmp_path / "truss.toml"))


@pytest.fixture
def server(file: Path, tmp_path: Path, browser) -> Iterator[Server]:
    with serving(file, tmp_path / "cache") as made:
        yield made


@pytest.fixture
def page(server: Server, browser) -> Iterator:
    """The page of the bridge, its numbers there; nothing may be asked of any other machine."""
    with watched(browser, server) as made:
        opened(made, server)
        yield made


@pytest.fixture(scope="module")
def stock(tmp_path_factory: pytest.TempPathFactory) -> Stock:
    """A folder of eighty bridges by a rule and one that is real, with the store of all of them.

    One for all tests of a module: those that write have a folder of their own.
    """
    return Stock.made(tmp_path_factory.mktemp("stock"), 80)


@pytest.fixture(scope="module")
def stock_server(stock: Stock, browser) -> Iterator[Server]:
    cache = stock.folder.parent / "cache"
    with serving(stock.folder, cache, "--out", str(stock.store)) as made:
        yield made


@pytest.fixture
def stock_page(stock_server: Server, browser) -> Iterator:
    """The page of the stock, its rows there."""
    with watched(browser, stock_server) as made:
        stock_opened(made, stock_server.address)
        yield made
