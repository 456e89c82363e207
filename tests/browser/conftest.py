"""A browser for the tests of this folder; without one they are skipped, saying why."""

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browsing import EXAMPLES, MISSING, Server, chromium, serving
from seeing import PATIENCE, opened, playwright_api


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
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE)
    playwright_api.expect.set_options(timeout=PATIENCE)
    asked: list[str] = []
    errors: list[str] = []
    made = context.new_page()
    made.on("request", lambda request: asked.append(request.url))
    made.on("pageerror", lambda error: errors.append(str(error)))
    opened(made, server)
    yield made
    context.close()
    foreign = [url for url in asked if not url.startswith((server.address, "data:", "blob:"))]
    assert foreign == []
    assert errors == []
