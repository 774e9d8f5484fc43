"""How fast a drape is on a graphics card, and whether it is the drape of the processor.

``--record DIR`` hangs the demo order's trousers and jacket on the processor as ``draped`` does and
keeps in DIR, for each call of the solver, what it began with and what it came to. ``--run DIR``
does the same calls on the card (nothing but numpy, scipy, numba, threadpoolctl and warp is needed
there) and prints for each the seconds, the residual and how far the cloth lies from where the
processor brought it (``off_max_cm``: the same but for rounding, as long as no fold hangs on it);
then where the time of a step goes; then the same for ``--many`` (100) variants in one batch,
differing in width by up to 3 %, in stiffness by up to 20 % and in mass by up to 10 %, through both
stages on the figure in its pose; of these a few are hung alone as well, to see that a batch changes
nothing. Numbers are printed and appended to ``--out``, one JSON object a line.
"""

from __future__ import annotations

import argparse
import json
import lzma
import pickle
import statistics
import time
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np

GARMENTS = {"trousers": 1.3, "jacket": 1.03}
"""Sides of triangles, cm: the sizes that the aims are set for, 8,000 and 12,000 vertices."""

DIFFERING = {"stencils", "stiff", "bend", "bend_pairs", "mass", "body", "fronts"}
"""Of a setting, what differs between variants or is made again; all else is kept as it is."""

STEPS = 300
"""Steps at most on the finest triangles: a card needs more of them than a processor, whose few
places come to rest at little cost."""


def record(to: Path) -> None:
    """Hangs the demo order on the processor and keeps every call of the solver."""
    from benchmarks.drape_garments import demo_garbs

    figure, garbs = demo_garbs()
    to.mkdir(parents=True, exist_ok=True)
    for name, edge in GARMENTS.items():
        kept = _watched(garbs[name][0], figure, edge)
        (to / f"{name}.pkl.xz").write_bytes(lzma.compress(pickle.dumps(kept)))


def _watched(garb: Any, figure: Any, edge: float) -> dict[str, Any]:
    """What the solver is asked while a garment is hung, and what it answers."""
    from pinwright.drape import draping, finer, skin
    from pinwright.drape.solver.stencils import bending, rigidity

    calls: list[dict[str, Any]] = []
    numbers: dict[int, int] = {}
    surfaces: list[dict[str, Any]] = []
    steps: list[Any] = []
    shells: dict[int, Any] = {}
    alive: list[Any] = []
    plain = draping.settled, skin.field_of, finer.prolongation

    def settled(s: Any, x: Any, *args: Any) -> Any:
        asked = dict(zip(("enough", "steps", "h", "longest", "reach"), args, strict=False))
        c = garb.handle.cgs
        _, pairs = bending(s.stencils, *rigidity(s.bends, c.bend_along, c.bend_across))
        # coarse cloth is taken stiffer to bend
        stiffer = float(np.abs(s.bend_pairs).sum() / np.abs(pairs).sum())
        state, rest = plain[0](s, x, *args)
        calls.append(
            {
                "n": s.stencils.n,
                "triangles": s.stencils.triangles,
                "stiff": s.stiff,
                "bend": (stiffer * c.bend_along, stiffer * c.bend_across),
                "mass": s.mass,
                "other": {f.name: getattr(s, f.name) for f in fields(s) if f.name not in DIFFERING},
                "body": numbers[id(s.body)],
                "asked": asked,
                "begin": x,
                "end": state.x,
                "energy": state.energy,
                "residual": rest.residual,
                "steps": rest.steps,
                "seconds": rest.seconds,
            }
        )
        print(s.stencils.n, rest, flush=True)
        return state, rest

    def field_of(body: Any, *args: Any, **kinds: Any) -> Any:
        field = plain[1](body, *args, **kinds)
        alive.append(field)
        numbers[id(field)] = len(surfaces)
        triangles = body.triangles.astype(np.int32)
        surfaces.append(
            {"points": body.points, "triangles": triangles, "args": args, "kinds": kinds}
        )
        return field

    def prolongation(coarse: Any, fine: Any) -> Any:
        p = plain[2](coarse, fine)
        steps.append((p.data, p.indices, p.indptr, p.shape))
        shells.update({coarse.n: coarse.rest, fine.n: fine.rest})
        return p

    skin._fields.clear()
    draping.settled, skin.field_of, finer.prolongation = settled, field_of, prolongation
    try:
        print(draping.draped(garb, figure, edge=edge).rest, flush=True)
    finally:
        draping.settled, skin.field_of, finer.prolongation = plain
    for call in calls:
        call["rest"] = shells[call["n"]]
    return {"calls": calls, "surfaces": surfaces, "prolongations": steps}


def settings_of(call: dict[str, Any], body: Any, variants: int = 1) -> list[Any]:
    """The setting of a call, or variants of it."""
    from pinwright.drape.solver.acting import Setting
    from pinwright.drape.solver.stencils import bending, rigidity, stencils

    rng = np.random.default_rng(5)
    out = []
    for k in range(variants):
        wide, firm, heavy = (0.03, 0.2, 0.1) * rng.uniform(-1.0, 1.0, 3) if k else np.zeros(3)
        rest = call["rest"] * np.array([1.0 + wide, 1.0])
        s = stencils(call["n"], call["triangles"].astype(np.int64), rest)
        along, across = ((1.0 + firm) * b for b in call["bend"])
        matrix, pairs = bending(s, *rigidity(call["other"]["bends"], along, across))
        out.append(
            Setting(
                s,
                (1.0 + firm) * call["stiff"],
                matrix,
                pairs,
                (1.0 + heavy) * call["mass"],
                body=body,
                **call["other"],
            )
        )
    return out


def run(
    where: Path, many: int, out: Path, device: str, limit: int, only: str | None, since: int | None
) -> None:
    """All calls on the card."""
    import warp as wp
    from scipy.sparse import csr_array

    from pinwright.drape.crushing import Tries, brought_to_rest
    from pinwright.drape.data import Surface
    from pinwright.drape.field import field_of
    from pinwright.drape.gpu.device import available
    from pinwright.drape.gpu.easing import CARD
    from pinwright.drape.gpu.planning import plan_of
    from pinwright.drape.gpu.plans import Plans
    from pinwright.drape.gpu.settling import settled_batch

    def say(**what: Any) -> None:
        line = json.dumps(what, default=float)
        print(line, flush=True)
        with out.open("a") as to:
            to.write(line + "\n")

    begun = time.perf_counter()
    wp.config.quiet = True
    wp.init()
    say(what="device", name=available(), warp=wp.__version__, device=device)
    ease = CARD if since is None else replace(CARD, since=since)
    for name in GARMENTS:
        if only is not None and name != only:
            continue
        kept = pickle.loads(lzma.decompress((where / f"{name}.pkl.xz").read_bytes()))
        for call in kept["calls"]:
            if call["n"] == kept["calls"][-1]["n"]:
                call["asked"]["steps"] = STEPS
        begun = time.perf_counter()
        bodies = [
            field_of(
                Surface(s["points"], s["triangles"].astype(np.int64)), *s["args"], **s["kinds"]
            )
            for s in kept["surfaces"]
        ]
        say(what="fields on the processor", garment=name, count=len(bodies), seconds=_since(begun))
        planned: set[int] = set()
        for turn in ("with the compiling", "again"):
            total = 0.0
            for call in kept["calls"][-limit:]:
                settings = settings_of(call, bodies[call["body"]])
                if call["n"] not in planned:
                    planned.add(call["n"])
                    begun = time.perf_counter()
                    p = plan_of(settings[0].stencils, call["begin"])
                    say(
                        what="plan on the processor",
                        vertices=call["n"],
                        seconds=_since(begun),
                        levels=len(p.levels),
                        launches=sum(
                            2 + sum(2 * len(g) + 1 for g, _ in v.groups) for v in p.levels
                        ),
                        million_numbers=round(p.numbers / 1e6, 2),
                    )
                seen: list[float] = []
                ((state, rest),) = settled_batch(
                    settings,
                    call["begin"][None],
                    plans=Plans(settings[0].stencils, call["begin"]),
                    ease=ease,
                    device=device,
                    tell=lambda k, left, seen=seen: seen.append(left) or True,
                    **call["asked"],
                )
                total += rest.seconds
                far = np.linalg.norm(state.x - call["end"], axis=1)
                say(
                    what="stage",
                    turn=turn,
                    garment=name,
                    vertices=call["n"],
                    steps=rest.steps,
                    steps_cpu=call["steps"],
                    residual=rest.residual,
                    residual_cpu=call["residual"],
                    energy=state.energy,
                    energy_cpu=call["energy"],
                    off_mean_cm=far.mean(),
                    off_99_cm=np.percentile(far, 99),
                    off_max_cm=far.max(),
                    seconds=rest.seconds,
                    seconds_cpu=call["seconds"],
                    apart_cm=call["other"]["apart"],
                    residuals=[float(f"{r:.4g}") for r in seen[:12]],
                )
            say(what="all stages", turn=turn, garment=name, seconds=total)
        last = kept["calls"][-1]
        profile(say, settings_of(last, bodies[last["body"]]), last, device)
        if not many:
            continue
        # the two stages on the figure in its pose, all variants at once; the last may have been
        # hung twice, with its layers apart and without
        middle = [c for c in kept["calls"] if c["n"] != last["n"]][-1]
        final = next(c for c in kept["calls"] if c["n"] == last["n"])
        x = np.repeat(middle["begin"][None], many, axis=0)
        seconds = 0.0
        for call, after in ((middle, kept["prolongations"][-1]), (final, None)):
            variants = settings_of(call, bodies[call["body"]], many)
            shell = Plans(variants[0].stencils, call["begin"])
            asked = {**call["asked"], "plans": shell, "device": device, "ease": ease}
            steps = asked.pop("steps")

            def settle(now: Any, at: Any, steps: int, asked: Any = asked) -> Any:
                return settled_batch(now, at, steps=steps, **asked)

            # as a garment is hung, but with more steps before layers pass: all wait for the slowest
            tries = Tries(180, 120, 3, steps)
            begun = time.perf_counter()
            ended = brought_to_rest(settle, variants, x, asked["enough"], tries)
            took = _since(begun)
            seconds += took
            found = [(state, rest) for state, rest, _ in ended]
            left = [r.residual for _, r in found]
            say(
                what="batch",
                garment=name,
                variants=many,
                vertices=call["n"],
                seconds=took,
                steps=[r.steps for _, r in found],
                at_rest=sum(r <= call["asked"]["enough"] for r in left),
                passing=[
                    round(float(s.passing.mean()), 4) for _, _, s in ended if s.passing is not None
                ],
                apart=sum(s.apart > 0.0 for _, _, s in ended),
                residual_median=statistics.median(left),
                residual_worst=max(left),
                memory_gb=wp.get_mempool_used_mem_high(device) / 1e9
                if wp.get_device(device).is_cuda
                else 0.0,
            )
            for k in np.linspace(0, many - 1, min(many, 8)).astype(int).tolist():
                ((alone, rest),) = settled_batch(
                    [variants[k]],
                    x[k : k + 1],
                    plans=Plans(variants[k].stencils, call["begin"]),
                    device=device,
                    ease=ease,
                    **call["asked"],
                )
                off = np.linalg.norm(alone.x - found[k][0].x, axis=1).max()
                say(what="alone", variant=k, steps=rest.steps, off_max_cm=off, seconds=rest.seconds)
            if after is not None:
                p = csr_array(after[:3], shape=after[3])
                x = np.stack([p @ s.x for s, _ in found])
        say(what="batch, both stages", garment=name, variants=many, seconds=seconds)
        profile(say, variants, {**last, "begin": x}, device)


def profile(
    say: Callable[..., None], settings: list[Any], call: dict[str, Any], device: str
) -> None:
    """Where the time of a step goes, ms: the median of ten."""
    import warp as wp

    from pinwright.drape.gpu import trying
    from pinwright.drape.gpu.card import Card
    from pinwright.drape.gpu.launching import each, on_card, plain, recorded
    from pinwright.drape.gpu.plans import Plans

    with wp.ScopedDevice(device):
        x = call["begin"] if call["begin"].ndim == 3 else call["begin"][None]
        plans = Plans(settings[0].stencils, x[0])
        begun = time.perf_counter()
        card = Card(settings, x, None, 0.05, plans)
        wp.synchronize()
        found = {"laid out": 1e3 * _since(begun)}
        do = recorded if on_card() else plain
        card.start()
        card.begin()
        parts = {
            "forces": lambda: card.state_forces(card.live),
            "stiffness": card.begin,
            "factor": lambda: card.factors.factor(card.todo, card.diagonal, card.values, card.bad),
            "substitute": lambda: card.factors.solve(card.todo, card.right, card.dx),
        }
        wp.copy(card.todo, card.live)
        each(
            trying.stated,
            card.many,
            [
                card.todo,
                card.h,
                card.active,
                card.cloth,
                card.acting,
                card.values,
                card.diagonal,
                card.right,
            ],
            card.n,
        )
        for name, what in parts.items():
            begun = time.perf_counter()
            once = do(what)
            found[f"{name} recorded"] = 1e3 * _since(begun)
            times = []
            for _ in range(10):
                wp.synchronize()
                begun = time.perf_counter()
                once()
                wp.synchronize()
                times.append(1e3 * _since(begun))
            found[name] = statistics.median(times)
        say(what="ms", variants=len(settings), vertices=card.n, **found)


def _since(begun: float) -> float:
    return time.perf_counter() - begun


def main() -> None:
    """Records or runs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--record", type=Path)
    parser.add_argument("--run", type=Path)
    parser.add_argument("--many", type=int, default=100)
    parser.add_argument("--out", type=Path, default=Path("drape_gpu.jsonl"))
    parser.add_argument("--device", default="cuda:0")
    parser.add_argument("--limit", type=int, default=99, help="only so many of the last calls")
    parser.add_argument("--since", type=int, help="places by themselves only after so many steps")
    parser.add_argument("--only", choices=tuple(GARMENTS))
    args = parser.parse_args()
    if args.record is not None:
        record(args.record)
    if args.run is not None:
        run(args.run, args.many, args.out, args.device, args.limit, args.only, args.since)


if __name__ == "__main__":
    main()
