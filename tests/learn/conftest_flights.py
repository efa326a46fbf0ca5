"""A rocket that flies by values of its own, and what somebody measures of it."""

import shutil
from pathlib import Path

import numpy as np

import bottlewright as bw
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.project.logbook import Logbook

EACH_TIME = ("water", "tilt", "leans_towards", "wind_speed", "wind_from", "air_temperature", "seed", "index")
CURLEW = Path(__file__).parent.parent.parent / "examples" / "curlew"


def folder_of(tmp_path):
    """Copy the example rocket and return its design file."""
    shutil.copytree(CURLEW, tmp_path / "rockets")
    return tmp_path / "rockets" / "rocket.toml"


def true_flights(design, count, seed=5, **values):
    """Fly the rocket as it truly is: every ± drawn once for all flights, air and gusts anew, some values set."""
    batch = sample_batch(design, 0, count, seed=seed)
    own = sample_batch(design, 100, count, seed=seed + 1)
    for slot in batch.dtype.names:
        batch[slot][:] = own[slot] if slot in EACH_TIME else batch[slot][0]
    for slot, value in values.items():
        batch[slot] = value
    return fly_batch(batch)


def written_down(file, flights, heights=1.5, times=0.2, seed=1, first=1):
    """Write flights into the logbook as somebody measures them; without a time where that has no ±."""
    book, project, generator = Logbook(file.parent), bw.read(file), np.random.default_rng(seed)
    for number, flight in enumerate(flights, first):
        height = flight["apogee_m"] + heights * generator.normal()
        measured = {"height": f"{height:.2f} m ± {heights} m", "height how": "two stations"}
        if times:
            time = flight["flight_time_s"] + times * generator.normal()
            measured |= {"time": f"{time:.2f} s ± {times} s", "time how": "one stopwatch"}
        book.enter_flight(project, {"at": f"2026-11-{number:02d}T10:00:00"}, measured)


def taking_on(file):
    """Let the design draw from what its flights taught."""
    file.write_text(file.read_text(encoding="utf-8") + '\n[learned]\nfrom = "logbook"\n', encoding="utf-8")
    return bw.read(file)
