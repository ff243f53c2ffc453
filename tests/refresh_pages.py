"""Make every generated page and schema anew: python -m tests.refresh_pages.

Run it after a change of the model, the pack, a command or a file's keys, and read what it changed before committing.
"""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
FEW = {**os.environ, "HALFTURN_CARS": "64"}
"""So many plausible cars as the tests drive: what they compare is made with the same."""
MAKERS = [
    ["tests.generators.files_page"],
    ["tests.generators.schemas"],
    ["tests.generators.rule_pages"],
    ["tests.generators.audit_page"],
    ["assistant", "sheet", "demo", "-o", "docs/sheet-demo.md", "--force"],
    ["tests.published.checks_page"],
    ["tests.advice.coach_page"],
    ["tests.readme_sample", "--write"],
]


def refresh() -> None:
    """Run every maker from the top of the project; the first that fails ends it."""
    for name in ("commands", "json"):
        describe = [sys.executable, "-m", f"tests.generators.{name}_page"]
        page = subprocess.run(describe, cwd=ROOT, check=True, capture_output=True)
        (ROOT / "docs" / f"{name}.md").write_bytes(page.stdout)
    for maker in MAKERS:
        sys.stderr.write(f"{' '.join(maker)}\n")
        subprocess.run([sys.executable, "-m", *maker], cwd=ROOT, check=True, stdout=subprocess.DEVNULL, env=FEW)


if __name__ == "__main__":
    refresh()
