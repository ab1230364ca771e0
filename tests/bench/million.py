"""A million samples through the model and through its bare arithmetic: prints both as JSON.

The samples are those of `kilncase run --samples 1000000`, chunk by chunk; each chunk goes through the model
and through the plain program of `tape.py` in turn, and both must give the same figures to the last bit.
What the tape cannot see (a table read at places that depend on samples, rows of a loan's buffer) is missing
from the plain program, which makes it the quicker.
"""

from __future__ import annotations

import json
import sys
import time
from typing import Any

import numpy as np
from plant import ASKED, taxed
from tape import noting

from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.found import MEASURES, WHERE_MODELLED
from econ.questions.latin import CHUNK, Sampling


def main(samples: int) -> None:
    """Time both over all chunks."""
    scenario = taxed()
    plan, numbers, inputs = Plan.of(scenario), scenario.numbers(), inputs_drawn(scenario)
    wanted = frozenset({*MEASURES, *WHERE_MODELLED, *ASKED})

    def walk(values: dict[str, Any]) -> dict[str, Any]:
        return evaluate(kept_whole({**numbers, **values}, plan), plan, wanted).lines

    sizes = {min(CHUNK, samples), samples % CHUNK or CHUNK}  # the last chunk is a shorter one
    tapes = {size: noting(walk, next(draws(scenario, Sampling(size), inputs))[2]) for size in sizes}
    floors = {size: tape.program(figures) for size, (tape, figures) in tapes.items()}
    ours = bare = drawing = 0.0
    start = time.process_time()
    for begin, stop, values in draws(scenario, Sampling(samples), inputs):
        drawn, floor = time.process_time(), floors[stop - begin]
        found = walk(values)
        walked = time.process_time()
        plain = floor(values)
        end = time.process_time()
        assert all(np.array_equal(found[name], plain[name], equal_nan=True) for name in found)
        drawing, ours, bare = drawing + drawn - start, ours + walked - drawn, bare + end - walked
        start = time.process_time()
    operations = len(tapes[min(CHUNK, samples)][0].lines)
    print(json.dumps({"ours_s": ours, "bare_s": bare, "drawing_s": drawing, "operations": operations,
                      "inputs": len(inputs)}))  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
