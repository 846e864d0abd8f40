"""The reference side of the bench `nesting`: one strip-packing instance solved by spyrrow.

Usage: nesting_reference.py solve FILE SECONDS SEED WORKERS
Prints JSON: density (share of the strip), length, seconds by the clock and processor seconds.
"""

import json
import resource
import sys
import time

import spyrrow


def solve(path, seconds, seed, workers):
    with open(path, encoding="utf-8") as file:
        data = json.load(file)
    items = [
        spyrrow.Item(
            str(item["id"]),
            [tuple(point) for point in item["shape"]["data"]],
            demand=item["demand"],
            # None: turned at will.
            allowed_orientations=item.get("allowed_orientations"),
        )
        for item in data["items"]
    ]
    instance = spyrrow.StripPackingInstance(data["name"], strip_height=data["strip_height"], items=items)
    settings = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=int(seconds), num_workers=int(workers), seed=int(seed)
    )
    begun = time.monotonic()
    solution = instance.solve(settings)
    used = resource.getrusage(resource.RUSAGE_SELF)
    return {
        "density": solution.density,
        "length": solution.width,
        "seconds": time.monotonic() - begun,
        "processor_seconds": used.ru_utime + used.ru_stime,
    }


if sys.argv[1] != "solve":
    sys.exit(f"nesting_reference.py answers 'solve', not {sys.argv[1]!r}")
print(json.dumps(solve(*sys.argv[2:])))
