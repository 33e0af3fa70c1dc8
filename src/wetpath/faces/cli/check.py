"""``wetpath check``: tell what is wrong with files, or that nothing is."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from wetpath.errors import FileProblems
from wetpath.faces.cli.failures import BAD_INPUT
from wetpath.services.check_file import check_file


def show_checked(files: Sequence[Path]) -> int:
    """Check every file; problems go to standard error."""
    wrong = 0
    for file in files:
        try:
            found = check_file(file)
        except FileProblems as problems:
            wrong += len(problems.problems)
            print("\n".join(str(problem) for problem in problems.problems), file=sys.stderr)
            continue
        title = f' "{found.title}"' if found.title else ""
        also = f"; nor with {', '.join(Path(one).name for one in found.references)}" if found.references else ""
        print(f"{file}: {found.kind}{title}; nothing wrong{also}")
    if wrong:
        print(f"{wrong} {'problem' if wrong == 1 else 'problems'} in {len(files)} "
              f"{'file' if len(files) == 1 else 'files'}.", file=sys.stderr)
    return BAD_INPUT if wrong else 0
