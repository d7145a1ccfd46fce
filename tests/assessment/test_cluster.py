"""A cluster's executor gives the numbers of a serial run."""

from typing import Any

import numpy as np
import pytest

from linewright.assessment.whole import assess_case


@pytest.mark.slow
def test_case_when_run_on_a_cluster_has_the_same_numbers(make_case, shelf) -> None:
    distributed: Any = pytest.importorskip("distributed")
    case = make_case(("samples = 256", "samples = 512"))
    serial = assess_case(case, shelf)
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = assess_case(case, shelf, client.get_executor())
    for one, two in zip(serial.ropes, found.ropes, strict=True):
        np.testing.assert_array_equal(one.ages, two.ages)
        assert one.lines[0].used == two.lines[0].used
