"""A deliberately simple brute-force referee: it answers a case by trying every allowed price, exactly.

It is written from the money model alone and shares no code with the package, so that the two can check each other.
"""

from .random_cases import random_case
from .result import referee

__all__ = ["random_case", "referee"]
