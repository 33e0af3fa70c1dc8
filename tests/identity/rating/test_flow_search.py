"""Search for ranges of flow: demands whose ranges are known in closed form, found to the room asked for."""

import numpy as np
import pytest

from wetpath.rating.flow_search import find_ranges, flows_to_scan

FIRST, OWN, LAST, ROOM = 0.02, 0.8, 1.3, 2e-4


class Demands:
    """Demands given as functions of the flow, and how often they were asked."""

    def __init__(self, *demands, own=OWN, jumps=()):
        self.demands, self.own, self.flows = demands, np.atleast_1d(own), 0
        count = self.own.size
        self.grid = flows_to_scan(np.full(count, FIRST), self.own, np.full(count, LAST))
        self.jumps = np.zeros((count, self.grid.shape[1] - 1), bool)
        for flow in jumps:
            self.jumps |= (self.grid[:, :-1] < flow) & (flow <= self.grid[:, 1:])

    def look(self, demands, cases, flow):
        """As `find_ranges` asks."""
        self.flows += flow.size
        return np.array([self.demands[demand](flow) for demand in demands])

    def found(self):
        """Lowest and highest flow, (2, demands, cases)."""
        left = np.array([demand(self.grid) for demand in self.demands])
        return find_ranges(self.look, self.grid, left, self.jumps, self.own, np.full(self.own.size, ROOM)).ends


def holds_at_its_end(demand, end, outward):
    """Zero or more at the end, short one room further."""
    return demand(np.array([end]))[0] >= 0 > demand(np.array([end + outward * ROOM]))[0]


@pytest.mark.parametrize(("demand", "lowest", "highest"), [
    (lambda q: (q - 0.3) * (1.1 - q), 0.3, 1.1),                    # parabola
    (lambda q: 8.0 - 0.5 / q, 0.0625, np.inf),                      # heat spread over the flow
    (lambda q: 1.2**3 - q**3, 0.0, 1.2),
    (lambda q: np.minimum(q - 0.25, 0.3 - 0.4 * np.abs(q - 0.8)), 0.25, np.inf),      # with corners
    (lambda q: np.where(q < 0.42, -np.inf, 1.0), 0.42, np.inf),      # where nothing closes: to twenty times the room
    (lambda q: 1.0 + 0.0 * q, 0.0, np.inf),
])
def test_ends_are_found_to_the_room_asked_for(demand, lowest, highest):
    search = Demands(demand)
    (found_low,), (found_high,) = (end[:, 0] for end in search.found())
    room = 20 * ROOM if np.isinf(demand(np.array([FIRST]))[0]) else ROOM
    assert found_low == pytest.approx(lowest, abs=room)
    assert found_high == pytest.approx(highest, abs=room)
    for end, outward in ((found_low, -1), (found_high, 1)):
        if 0 < end < np.inf and room == ROOM:
            assert holds_at_its_end(demand, end, outward)


def test_smooth_ends_cost_two_flows_each_or_four():
    search = Demands(lambda q: (q - 0.3) * (1.1 - q), lambda q: 8.0 - 0.5 / q)
    search.found()
    assert search.flows <= 12


def test_own_flow_outside_takes_the_nearest_range():
    (lowest,), (highest,) = (end[:, 0] for end in Demands(lambda q: (q - 0.9) * (1.1 - q)).found())
    assert (lowest, highest) == (pytest.approx(0.9, abs=ROOM), pytest.approx(1.1, abs=ROOM))


def test_nowhere_and_cannot_be_told_are_nan():
    found = Demands(lambda q: -1.0 - q, lambda q: np.nan * q).found()
    assert np.isnan(found).all()


def test_a_dip_between_two_flows_shows_by_the_slopes_beside_it():
    """A parabola that is short over less than a step, between two flows at which it holds."""
    grid = Demands().grid[0]
    middle, half = (grid[4] + grid[5]) / 2, 0.4 * (grid[5] - grid[4])
    (lowest,), (highest,) = (end[:, 0] for end in Demands(lambda q: (q - middle) ** 2 - half**2).found())
    assert (lowest, highest) == (pytest.approx(middle + half, abs=ROOM), np.inf)


def test_a_jump_is_looked_at_from_both_sides():
    """Nothing beside it shows that the demand is short from 0.435 up to 0.465; only that something jumps there."""
    def demand(q):
        return np.where((q >= 0.435) & (q < 0.465), -1.0, 1.0)

    assert Demands(demand).found()[0, 0, 0] == 0.0
    assert Demands(demand, jumps=(0.435, 0.465)).found()[0, 0, 0] == pytest.approx(0.465, abs=ROOM)


def test_cases_do_not_change_each_other():
    def demand(q):
        return (q - 0.31) * (1.07 - q)

    together = Demands(demand, own=np.array([0.5, 0.8, 1.2])).found()
    alone = np.concatenate([Demands(demand, own=own).found() for own in (0.5, 0.8, 1.2)], axis=2)
    np.testing.assert_allclose(together, alone, rtol=0, atol=1e-12)


def test_flows_to_scan_rise_and_hold_the_own_flow():
    own = np.array([0.0201, 0.4, 0.8, 1.2999])
    grid = flows_to_scan(np.full(4, FIRST), own, np.full(4, LAST))
    assert (np.diff(grid, axis=1) > 0).all()
    assert (grid == own[:, None]).any(axis=1).all()
    np.testing.assert_allclose(grid[:, [0, -1]], [[FIRST, LAST]] * 4)
