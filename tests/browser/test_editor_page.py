"""The page of the bridge file in a real browser: forms and text change the same draft."""

from pathlib import Path

from seeing import contains, expect, save, saved, text_of, to, typed

from bedstone.bridge.edit import change_text

CHAINAGE = '[id="f-support-1-chainage"]'
NAME = '[id="f-bridge-name"]'


def test_a_wrong_unit_is_told_at_the_field_and_at_the_line(page, file: Path):
    to(page, "editor")
    page.click('#editor-sections [data-value="supports"]')
    field = page.locator(CHAINAGE)
    stood = field.input_value()
    lines = text_of(file).split("\n")
    line = [number for number, row in enumerate(lines, 1) if row.startswith("chainage")][1]
    typed(page, CHAINAGE, "40 kN")
    contains(page, '[id="f-support-1-chainage-fault"]', "'kN' is no unit of this kind")
    expect(field).to_have_attribute("aria-invalid", "true")
    contains(page, "#editor-faults", f"line {line}")
    contains(page, "#editor-faults", "A2: chainage")
    expect(page.locator(".cm-fault")).to_have_text('chainage = "40 kN"')
    saved(page)  # the desk keeps what is valid
    typed(page, CHAINAGE, stood)
    contains(page, "#editor-head", "a valid bridge file")
    expect(page.locator(f"{CHAINAGE}[aria-invalid]")).to_have_count(0)
    expect(field).to_have_value(stood)


def test_a_field_changes_the_text_and_undo_goes_back_and_comments_stay(page, file: Path):
    to(page, "editor")
    stood = page.locator(NAME).input_value()
    typed(page, NAME, "Another bridge")
    contains(page, "#title h1", "Another bridge")
    contains(page, ".cm-content", "Another bridge")
    before = text_of(file)
    save(page)
    assert text_of(file) == change_text(before, {"bridge.name": "Another bridge"})
    page.click('[data-key="tool-undo"]')
    contains(page, "#title h1", stood)
    expect(page.locator(NAME)).to_have_value(stood)


def test_the_text_is_edited_and_the_forms_follow(page):
    to(page, "editor")
    page.click(".cm-content")
    page.keyboard.press("Control+Home")
    page.keyboard.type("oops\n")
    contains(page, "#editor-form", "not TOML")
    contains(page, "#editor-faults", "line 1")
    page.keyboard.press("Backspace")
    for _ in range(4):
        page.keyboard.press("Backspace")
    contains(page, "#editor-head", "a valid bridge file")
    page.wait_for_selector("#editor-form .line")


def test_download_upload_and_another_name(page, file: Path):
    to(page, "editor")
    with page.expect_download() as download:
        page.click('[data-key="download"]')
    assert download.value.suggested_filename == file.name
    assert text_of(Path(download.value.path())) == text_of(file)
    bad = {"name": "bad.toml", "mimeType": "text/plain", "buffer": b"[bridge]\nname = 3\n"}
    page.set_input_files(".editor-page .picker input[type=file]", files=[bad])
    contains(page, "#editor-faults", "bridge.name")
    saved(page)
    good = text_of(file).replace("[bridge]\n", "# uploaded\n[bridge]\n", 1)
    page.set_input_files(
        ".editor-page .picker input[type=file]",
        files=[{"name": "good.toml", "mimeType": "text/plain", "buffer": good.encode()}],
    )
    contains(page, "#editor-head", "a valid bridge file")
    page.fill("#editor-name", "../away")
    page.click('[data-key="save as"]')
    contains(page, "#editor-message", "no path")
    (file.parent / "there.toml").write_text("x = 1\n")
    page.fill("#editor-name", "there")
    page.click('[data-key="save as"]')
    contains(page, "#editor-message", "nothing was written")
    assert text_of(file.parent / "there.toml") == "x = 1\n"
    page.click('#editor-message [data-value="over"]')
    contains(page, "#title", "there.toml (saved)")
    assert text_of(file.parent / "there.toml") == good
    assert not (file.parent.parent / "away.toml").exists()


def test_a_file_changed_elsewhere_is_not_overwritten_without_being_asked(page, file: Path):
    to(page, "editor")
    typed(page, NAME, "Mine")
    contains(page, "#title h1", "Mine")
    theirs = change_text(text_of(file), {"bridge.name": "Theirs"})
    file.write_text(theirs)
    page.click('[data-key="tool-save"]')
    contains(page, "#messages", "nothing was written")
    assert text_of(file) == theirs
    page.click('#messages [data-value="theirs"]')
    contains(page, "#title h1", "Theirs")
    expect(page.locator(NAME)).to_have_value("Theirs")


def test_a_template_is_started_from(page):
    to(page, "editor")
    page.select_option('select[data-do="template"]', "reactions")
    contains(page, "#title", "reactions.toml (not saved)")
    page.wait_for_selector("#editor-form .line")
    contains(page, "#editor-head", "a valid bridge file")
