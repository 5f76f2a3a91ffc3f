"""`python -m tests.cases FILE.json` prints the answer to a case."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from tests.cases.answer import answer

if __name__ == "__main__":
    print(json.dumps(answer(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))), indent=1, ensure_ascii=False))
