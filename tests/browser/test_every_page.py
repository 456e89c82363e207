"""What holds for every page: everybody can use it, and it fits twice the size and a telephone."""

import pytest
from seeing import PAGES, fits, themed, to, usable_by_everybody


@pytest.mark.parametrize("word", list(PAGES))
def test_everybody_can_use_it_and_it_fits(page, word: str):
    """WCAG 2 A and AA as far as axe-core sees, light and dark; reflow at 200 % (1.4.10)."""
    to(page, word)
    for theme in ("light", "dark"):
        themed(page, theme)
        usable_by_everybody(page)
    fits(page, 640, 400)  # 1280 by 800 at 200 %


@pytest.mark.parametrize("address", ["", "results?file=truss.toml"])
def test_everybody_can_use_the_pages_of_a_folder_and_they_fit(
    stock_page, stock_server, address: str
):
    """As above, with a row unfolded; a telephone is narrower still."""
    if address:
        stock_page.goto(stock_server.address + address)
        stock_page.wait_for_selector("#seats table")
    else:
        stock_page.locator("[data-unfold]").first.click()
        stock_page.wait_for_selector(".unfolded")
    for theme in ("light", "dark"):
        themed(stock_page, theme)
        usable_by_everybody(stock_page)
    fits(stock_page, 640, 400)
    fits(stock_page, 390, 844)
    usable_by_everybody(stock_page)


def test_every_page_of_the_navigation_is_tested_here(page):
    words = page.eval_on_selector_all(
        '#navigation button[data-do="page"]', "all => all.map(one => one.dataset.value)"
    )
    assert set(words) == set(PAGES)
