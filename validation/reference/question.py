"""A question with the answer of a library and how far apart the two may be."""

from dataclasses import dataclass


@dataclass
class Question:
    """`tolerance` is in the unit of the answer."""

    law: str
    inputs: dict
    expected: float
    tolerance: float


def close(law, inputs, expected, share, floor=0.0):
    """A tolerance as a share of the expected value, with a floor."""
    return Question(law, inputs, float(expected), max(abs(float(expected)) * share, floor))
