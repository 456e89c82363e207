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


def test_every_page_of_the_navigation_is_tested_here(page):
    words = page.eval_on_selector_all(
        '#navigation button[data-do="page"]', "all => all.map(one => one.dataset.value)"
    )
    assert set(words) == set(PAGES)
