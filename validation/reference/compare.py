"""Asks Lapwing and general-purpose libraries the same questions and compares.

Questions are drawn with a fixed seed, so every run asks the same ones. Our
answers come from one run of the example program `answers`, which reads a JSON
list of {"law": ..., "inputs": {...}} and prints a JSON list of numbers. Nothing
in this folder imports our code or copies its results.

Run: python validation/reference/compare.py
"""

import json
import math
import subprocess
import sys
from pathlib import Path

import numpy as np

sys.dont_write_bytecode = True  # the folder holds sources only

import day  # noqa: E402
import field  # noqa: E402
import film  # noqa: E402
import gauge  # noqa: E402
import ground  # noqa: E402
import heat  # noqa: E402
import pad  # noqa: E402
import trial  # noqa: E402

SEED = 20_260_101
HOUSE = Path(__file__).resolve().parents[2]
ASK = ["cargo", "run", "--release", "--locked", "-q", "-p", "lapwing-validation", "--example", "answers"]


def our_answers(questions):
    """One run for all questions."""
    asked = json.dumps([{"law": q.law, "inputs": q.inputs} for q in questions], allow_nan=False)
    done = subprocess.run(ASK, input=asked, capture_output=True, text=True, cwd=HOUSE, check=False)
    if done.returncode != 0:
        sys.exit(f"the answers did not come: {done.stderr.strip()}")
    answers = json.loads(done.stdout)
    if len(answers) != len(questions):
        sys.exit(f"{len(questions)} questions, but {len(answers)} answers")
    return answers


def fault(question, answer):
    """A sentence when the two disagree, else None."""
    if not isinstance(answer, (int, float)):
        return f"{question.law} {question.inputs}: refused, {answer}"
    off = abs(answer - question.expected)
    if math.isfinite(question.expected) and off <= question.tolerance:
        return None
    return (
        f"{question.law} {json.dumps(question.inputs)[:300]}: the library says {question.expected!r}, "
        f"we say {answer!r}; {off:.2e} apart, allowed is {question.tolerance:.2e}"
    )


def main():
    groups = []
    for room in (film, field, gauge, pad, ground, heat, day, trial):
        for name, ask in room.GROUPS:
            # Each group has its own dice: a new group does not move the others.
            seed = [SEED, *name.encode()]
            questions = ask(np.random.default_rng(seed))
            if not questions:
                sys.exit(f"{name}: no question; a group that asks nothing checks nothing")
            groups.append((name, questions))
    answers = iter(our_answers([q for _, questions in groups for q in questions]))
    passed = failed = 0
    for name, questions in groups:
        faults = [f for f in (fault(q, next(answers)) for q in questions) if f]
        print(f"{'FAILED' if faults else 'ok':6} {name}: {len(questions) - len(faults)} of {len(questions)}")
        for sentence in faults[:5]:
            print(f"         {sentence}")
        passed += len(questions) - len(faults)
        failed += len(faults)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
