"""The making-up guide as plain data, for other programs: `guide.json`, format `onfold guide 1`."""

from __future__ import annotations

import json
from typing import Any

from onfold.making.operation import Act, MakingUp, Operation
from onfold.pattern import Pattern, Run

FORMAT = "onfold guide 1"


def guide_data(making: MakingUp, pattern: Pattern) -> dict[str, Any]:
    """Return operations, what stands before what, and other sound orders, as lists and dicts. Lengths are mm."""
    return {
        "format": FORMAT,
        "unit": "mm",
        "recipe": pattern.recipe,
        "wearer": pattern.wearer,
        "operations": [_operation(each) for each in making.operations],
        "before": [
            {"first": each.first, "then": each.then, "reason": each.reason, "must": each.must} for each in making.before
        ],
        "others": [
            {"operation": each.operation, "taken": each.taken, "other": each.other, "why": each.why}
            for each in making.others
        ],
        "left_out": list(making.left_out),
    }


def write_guide_json(making: MakingUp, pattern: Pattern) -> bytes:
    """Return `guide.json`: equal bytes for equal input."""
    return (json.dumps(guide_data(making, pattern), ensure_ascii=False, indent=1) + "\n").encode()


def _operation(operation: Operation) -> dict[str, Any]:
    return {
        "name": operation.name,
        "kind": operation.kind,
        "seam": operation.seam,
        "sides": [[_run(run) for run in side] for side in operation.sides],
        "pieces": list(operation.pieces),
        "times": operation.times,
        "state": operation.state,
        "tried": list(operation.tried),
        "why": operation.why,
        "acts": [_act(act) for act in operation.acts],
    }


def _run(run: Run) -> dict[str, Any]:
    return {"piece": run.piece, "edge": run.edge, "copy": run.copy, "reversed": run.reversed}


def _act(act: Act) -> dict[str, Any]:
    row = act.row and {
        "stitch": act.row.stitch,
        "length": round(act.row.length, 4),
        "from_raw": round(act.row.from_raw, 4),
        "from_net": round(act.row.from_net, 4),
        "layers": act.row.layers,
    }
    return {"kind": act.kind, "says": act.says, "no_way_back": act.no_way_back, "row": row}
