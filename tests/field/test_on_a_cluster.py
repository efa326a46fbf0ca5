"""The same flights on a Dask cluster of this machine."""

import os
import signal
import socket
import time
from pathlib import Path

import pytest

from bottlewright.design import complete, read_design
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.cluster import ClusterError, on_cluster

distributed = pytest.importorskip("distributed")
CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


@pytest.fixture(scope="module")
def batch():
    design = complete(read_design(CURLEW))
    return sample_batch(design, 0, 2600, seed=5)


@pytest.fixture
def cluster(batch):
    fly_batch(batch[:1])  # so that the workers find the compiled code
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as started:
        yield started


def test_a_cluster_gives_the_same_summaries_bit_for_bit_and_a_lost_worker_loses_nothing(cluster, batch):
    here = fly_batch(batch)
    killed = []

    def kill_one(_):
        if not killed:
            with distributed.Client(cluster.scheduler_address, set_as_default=False) as client:
                killed.append(min(client.run(os.getpid).values()))
            os.kill(killed[0], signal.SIGKILL)

    with on_cluster(cluster.scheduler_address, progress=kill_one) as fly:
        there = fly(batch)
    assert killed
    assert there.tobytes() == here.tobytes()


def test_when_the_whole_cluster_is_lost_this_machine_flies_the_rest(cluster, batch):
    said = []

    def end_it(_):
        if not said:
            said.append("ended")
            for worker in list(cluster.workers.values()):
                os.kill(worker.pid, signal.SIGKILL)
            cluster.close()

    with on_cluster(cluster.scheduler_address, said.append, end_it) as fly:
        there = fly(batch)
        again = fly(batch[:300])
    assert len(said) == 2, "one sentence, once"
    assert "this machine flies the rest" in said[1]
    assert there.tobytes() == fly_batch(batch).tobytes()
    assert again.tobytes() == there[:300].tobytes()


@pytest.fixture
def silent():
    """Give the address of something that takes calls and never answers."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        yield f"tcp://127.0.0.1:{listening.getsockname()[1]}"


def test_no_scheduler_at_the_address_is_told_in_words_within_ten_seconds(silent):
    began = time.monotonic()
    with pytest.raises(ClusterError, match=r"no Dask scheduler answers at .* within 4 s"), on_cluster(silent):
        pytest.fail("nobody is there")
    assert time.monotonic() - began < 9.0


def test_a_scheduler_without_a_worker_is_told_in_words(monkeypatch):
    monkeypatch.setattr("bottlewright.flight.cluster.LIMIT", 1.0)
    with distributed.LocalCluster(n_workers=0, dashboard_address=None) as started:  # noqa: SIM117
        with pytest.raises(ClusterError, match="no worker for 1 s"), on_cluster(started.scheduler_address):
            pytest.fail("nobody can fly")
