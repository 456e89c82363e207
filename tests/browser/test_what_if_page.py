"""The page of faults in a real browser: long work with progress, and what one fault does."""

from seeing import contains, expect, to


def test_long_work_tells_its_progress_and_can_be_cancelled(page):
    to(page, "what_if", ask=False)
    page.click('#asking button[data-do="ask"]')
    page.wait_for_selector("#asking progress")
    page.click('#asking button[data-do="cancel"]')
    page.wait_for_selector('#asking button[data-do="ask"]')
    contains(page, "#asking", "Cancelled")
    # and it can be asked again
    page.click('#asking button[data-do="ask"]')
    second = page.locator('#faults button[data-value="1"]')
    second.click()
    expect(page.locator("#fault-name")).to_have_text(second.inner_text())
