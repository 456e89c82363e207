"""Bridge files to take tests from: the shipped templates, laid out in a folder."""

from collections.abc import Callable
from pathlib import Path

import pytest

from bedstone.bridge.templates import template, template_files


@pytest.fixture
def lay_out(tmp_path: Path) -> Callable[..., Path]:
    """Write the template of a kind with its tables to a folder, with text replaced on the way.

    Each replacement is (old, new) or (file, old, new); the old text must be there.
    """

    def write(kind: str, *changes: tuple[str, ...]) -> Path:
        texts = {f"{kind}.toml": template(kind), **template_files(kind)}
        for change in changes:
            name, old, new = change if len(change) == 3 else (f"{kind}.toml", *change)
            assert old in texts[name], (name, old)
            texts[name] = texts[name].replace(old, new, 1)
        for name, text in texts.items():
            (tmp_path / name).write_text(text, encoding="utf-8")
        return tmp_path / f"{kind}.toml"

    return write
