"""A browser without a window, as the tests of pages ask it."""

import shutil
import subprocess
from pathlib import Path

import pytest

BROWSER = shutil.which("chromium") or shutil.which("google-chrome")
needs_browser = pytest.mark.skipif(BROWSER is None, reason="no browser is installed")


def asked(page: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """What a browser says of a page; its profile lies beside the page."""
    command = [
        str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
        "--no-first-run", f"--user-data-dir={page.parent / 'profile'}", *options, page.as_uri(),
    ]  # fmt: skip
    return subprocess.run(command, check=True, capture_output=True, text=True, timeout=180)
