"""The same flights on a Dask cluster of this machine."""

import os
import signal
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

    with on_cluster(cluster.scheduler_address, kill_one) as fly:
        there = fly(batch)
    assert killed
    assert there.tobytes() == here.tobytes()


def test_no_scheduler_at_the_address_is_told_in_words(monkeypatch):
    monkeypatch.setattr("bottlewright.flight.cluster.PATIENCE", "1s")
    with pytest.raises(ClusterError, match="no Dask scheduler answers at"), on_cluster("tcp://127.0.0.1:9"):
        pass
