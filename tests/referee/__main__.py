"""Print the referee's result for one case file: ``python -m tests.referee CASE.json``."""

import json
import sys
from pathlib import Path

from .result import referee


def main(arguments: list[str]) -> int:
    """Read the case named by the only argument and print its result as JSON."""
    if len(arguments) != 1:
        print("usage: python -m tests.referee CASE.json", file=sys.stderr)
        return 2
    case = json.loads(Path(arguments[0]).read_text(encoding="utf-8"))
    print(json.dumps(referee(case), indent=1))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
