"""Flights on a graphics card beside the processor of the same machine: how many a second, and how far they agree.

    python benchmarks/gpu.py                 print the figures
    python benchmarks/gpu.py --small         the same with few flights, to see that it works

Needs the extra ``gpu`` and a card. All in one run, so that both met the same machine; docs/performance.md has the
figures with the class of the card.
"""

import argparse
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from bottlewright.design import Design, complete, read_design
from bottlewright.field.tail import tail_bound
from bottlewright.flight.batch import drawn_from, fire_batch, fly_batch, fly_many, sample_batch
from bottlewright.flight.drawing import WORDS
from bottlewright.flight.gpu import Cards, _Hold, on_cards

EXAMPLES = Path(__file__).parent.parent / "examples"
SEED = 5
VARIANTS = {
    "on a launch tube": (
        "launcher.tube_diameter=8.5 mm", "launcher.tube_length=180 mm", "launcher.seal_diameter=8.8 mm"),
    "in gusts": ("weather.turbulence=true",),
}
"""What no example has, on Curlew."""


def best(work: Callable[[], Any], repeats: int) -> float:
    """Return the shortest time of several, s."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def row(*cells: object) -> None:
    """Print a row of a table at once: a run may be cut short."""
    print("| " + " | ".join(map(str, cells)) + " |", flush=True)


def by_size(cards: Cards, design: Design, sizes: list[int]) -> None:
    """Print flights a second against the size of a batch, drawn, flown, summaries back in memory."""
    row("flights", "card, s", "card, flights/s", "processor, flights/s")
    row("---:", "---:", "---:", "---:")
    for size in sizes:
        card = best(lambda size=size: cards.fly_many(design, size, seed=SEED), 2)  # type: ignore[misc]
        few = min(size, 10_000)
        here = best(lambda few=few: fly_many(design, few, seed=SEED), 1)  # type: ignore[misc]
        row(size, f"{card:.3f}", f"{size / card:.0f}", f"{few / here:.0f}")


def agreement(cards: Cards, name: str, design: Design, flights: int) -> None:
    """Print how far flights of the card and of the processor lie apart, and whether they were drawn alike."""
    plans = sample_batch(design, 0, flights, seed=SEED)
    here, there = fly_batch(plans), cards(plans)
    drawn = drawn_from(design, {}, vary=True)
    alike = "by the processor"
    if drawn is not None:
        hold = _Hold(0)
        with hold.card:
            hold.draw(hold.lay(drawn, np.empty((0, flights))), SEED, 0, flights)
            ours, its = (each.view(np.float64).reshape(flights, WORDS) for each in (plans, hold.drawn()))
        off = np.abs(ours - its) / np.maximum(np.abs(ours), 1e-300)
        alike = f"{np.nanmax(off):.0e}, {np.count_nonzero(off > 0.0) / off.size:.0e} of all"
    high, other = here["apogee_m"], there["apogee_m"]
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.abs(high - other) / np.abs(high)
    apart = 1e3 * np.hypot(*(here[name] - there[name] for name in ("landing_east_m", "landing_north_m")))
    row(name, f"{np.nanmax(off):.1e}", f"{np.nanpercentile(off, 99):.1e}",
        f"{np.nanpercentile(apart, 99):.2f}", f"{np.nanmax(apart):.2f}",
        np.count_nonzero(here["ending"] != there["ending"]), alike)  # fmt: skip


def fired(cards: Cards, design: Design, flights: int) -> None:
    """Print how far static firings of the card and of the processor lie apart."""
    plans = sample_batch(design, 0, flights, seed=SEED)
    here, there = fire_batch(plans), cards.fire(plans)
    off = np.abs(here["impulse_total_N_s"] / there["impulse_total_N_s"] - 1.0)
    print(f"{flights} static firings: impulse within {np.nanmax(off):.1e}, 99 % {np.nanpercentile(off, 99):.1e}; "
          f"{np.count_nonzero(here['ending'] != there['ending'])} other endings\n", flush=True)  # fmt: skip


def sweep(cards: Cards, design: Design, side: int, flights: int) -> None:
    """Print the best load of a grid of water and pressure, each with many flights of the same draws."""
    water, gauge = np.linspace(0.2e-3, 0.7e-3, side), np.linspace(2e5, 4.5e5, side)
    loads = np.array([(one, other) for one in water for other in gauge])
    values = {"charge.water": np.repeat(loads[:, 0], flights), "charge.pressure": np.repeat(loads[:, 1], flights)}
    count, start = len(loads) * flights, time.perf_counter()
    high = cards.fly_many(design, count, seed=SEED, values=values)["apogee_m"].reshape(len(loads), flights)
    took, low = time.perf_counter() - start, np.nanpercentile(high, 10, axis=1)
    top = low.reshape(side, side)[:, -1].argmax()
    print(f"{count} flights of {len(loads)} loads in {took:.2f} s, {count / took:.0f} a second: at 4.5 bar, "
          f"{water[top] * 1e6:.0f} mL brings the greatest height that nine in ten pass, "
          f"{low.reshape(side, side)[top, -1]:.1f} m\n", flush=True)  # fmt: skip


def small_chance(cards: Cards, design: Design, few: int, many: int) -> None:
    """Print the chance of a landing beyond the distance that few flights bound at one in 10 000, by brute force."""
    def away(notes: Any) -> Any:
        out = np.hypot(notes["landing_east_m"], notes["landing_north_m"])
        return np.sort(out[np.isfinite(out)])[::-1]

    seen = away(fly_many(design, few, seed=SEED))
    reach = next(float(at) for at in np.arange(seen[0], 3.0 * seen[0], 0.1) if tail_bound(seen, at) <= 1e-4)
    start = time.perf_counter()
    beyond, flown, block = 0, 0, min(many, 1 << 21)
    for first in range(0, many, block):
        notes = cards.fly_many(design, block, seed=SEED + 1 + first)
        beyond, flown = beyond + int(np.count_nonzero(away(notes) > reach)), flown + block
    took = time.perf_counter() - start
    print(f"{few} flights bound the chance of landing beyond {reach:.1f} m at 1e-4; of {flown} flights {beyond} did, "
          f"{beyond / flown:.1e} ({took:.1f} s, {flown / took:.0f} a second)\n", flush=True)  # fmt: skip


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--small", action="store_true", help="few flights, to see that it works")
    small = parser.parse_args().small
    designs = {folder.name: complete(read_design(folder / "rocket.toml")) for folder in sorted(EXAMPLES.iterdir())
               if (folder / "rocket.toml").exists()}  # fmt: skip
    curlew = designs["curlew"]
    designs |= {f"curlew {name}": complete(read_design(EXAMPLES / "curlew" / "rocket.toml", overrides=words))
                for name, words in VARIANTS.items()}  # fmt: skip
    with on_cards() as cards:
        print(f"{cards.engine}; {len(os.sched_getaffinity(0))} cores\n", flush=True)
        start = time.perf_counter()
        cards.fly_many(curlew, 1000, seed=SEED)
        print(f"first flights, compiling what is not kept: {time.perf_counter() - start:.1f} s\n", flush=True)
        fly_many(curlew, 100, seed=SEED)
        by_size(cards, curlew, [1000, 10_000] if small else [1000, 10_000, 100_000, 1_000_000])
        print()
        row("example", "apogee, greatest", "99 %", "landing, mm, 99 %", "greatest", "other endings",
            "drawn alike to")  # fmt: skip
        row("---", "---:", "---:", "---:", "---:", "---:", "---:")
        for name, design in designs.items():
            agreement(cards, name, design, 1000 if small else 10_000)
        print()
        fired(cards, curlew, 1000 if small else 10_000)
        sweep(cards, curlew, 8 if small else 48, 16 if small else 256)
        small_chance(cards, curlew, 4000, 20_000 if small else 1 << 22)


if __name__ == "__main__":
    main()
