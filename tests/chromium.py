"""Where Chromium is, and how every test starts it."""

import shutil

CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--host-resolver-rules=MAP notebook.test 127.0.0.1",
]  # fmt: skip
