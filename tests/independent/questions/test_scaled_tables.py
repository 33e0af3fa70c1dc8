"""The compiled solve with a table of its own for each copy, against one solve after the other with `scaled_liquid`.

The reference solves each copy as a batch of one, the way a rating solves; the compiled loop makes each copy's liquid
itself. They agree to the last bit.
"""

import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.circulation import solve
from wetpath.circulation.batch import empty_batch, solve_batch
from wetpath.circulation.solve import CaseArrays
from wetpath.questions.sensitivity import evaluate as module
from wetpath.questions.sensitivity.evaluate import evaluate
from wetpath.questions.sensitivity.sample import Sample, sample_of, scaled_liquid
from wetpath.questions.sensitivity.worth import model_of_case
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.services.rating import load_service

ENQUIRIES = Path(wetpath.__file__).parent / "data" / "demo" / "enquiries"
#: Liquids from reference equations, a mixture, and tables given.
NAMES = ("butane_reflux", "cold_water", "hot_water", "acrylic_ester_flushed", "naphtha")
FACTORS = ("density", "heat_capacity", "viscosity", "conductivity", "vapour_pressure")
#: Copies; two of them with the liquid as it is, two with the same other one.
COPIES = 9


@cache
def case_of(name: str) -> tuple[PumpModel, Inputs]:
    return model_of_case(load_service(ENQUIRIES / f"{name}.toml").rate(), 0)


def changed_sample(name: str, copies: int = COPIES) -> tuple[PumpModel, Sample]:
    """Copies whose liquids differ in every factor, each by another amount."""
    model, inputs = case_of(name)
    sample = sample_of(model.machine, inputs, copies)
    drawn = np.random.default_rng(7).uniform(-0.05, 0.05, (len(FACTORS), copies))
    drawn[:, [0, -1]] = 0.0
    drawn[:, 2] = drawn[:, 1]
    for field, change in zip(FACTORS, drawn, strict=True):
        getattr(sample, field)[:] += change
    return model, sample


def one_by_one(model: PumpModel, sample: Sample) -> dict[str, np.ndarray]:
    """The same copies, each a batch of one with its own scaled table."""
    point, network = module._point(model, sample), model.pump.network.topology
    inputs, count = sample.inputs, sample.count
    states = empty_batch(count, network.kind.size, network.unknown.size, sample.machine.inner.shape[1])
    columns = CaseArrays(
        pump=np.arange(count), flow=inputs.flow, temperature=inputs.temperature, pressure=inputs.pressure,
        speed=inputs.speed, head=point.head, efficiency=point.efficiency, air=inputs.air, heat_scale=np.ones(count))
    for copy in range(count):
        chosen = np.array([copy])
        part = CaseArrays(*(column[chosen] for column in columns))
        results = states.of(chosen)
        liquid = scaled_liquid(model.liquid.arrays, sample.liquid_factors[copy])
        solve_batch(network, sample.machine, liquid, part, False, results)
        states.put(chosen, results)
    return {name: getattr(states, name) for name in ("flow", "pressure", "temperature", "heat", "cells", "scalars")}


@pytest.mark.parametrize("name", NAMES)
def test_compiled_tables_are_those_of_scaled_liquid(name: str) -> None:
    model, sample = changed_sample(name)
    states = module._solved(model, sample, module._point(model, sample))
    assert (states.scalars[:, solve.CONVERGED] > 0).all()
    for field, expected in one_by_one(model, sample).items():
        found = getattr(states, field)
        assert np.array_equal(found, expected, equal_nan=True), field
    # the factors reach the solve: other liquids, other answers
    assert np.unique(states.heat.sum(axis=1)).size >= COPIES - 2


TINY = """
import numpy as np
from test_scaled_tables import changed_sample, evaluate
worst = evaluate(*changed_sample("cold_water", 3)).worst
print(" ".join(float(one).hex() for one in worst.ravel()))
"""


def test_uncompiled_code_gives_the_same_numbers() -> None:
    """The loop as plain Python in a process of its own; a compiler may join a product and a sum into one rounding."""
    told = subprocess.run(
        [sys.executable, "-c", TINY], capture_output=True, text=True, check=True, timeout=300,
        env={**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(Path(__file__).parent)})
    plain = np.array([float.fromhex(one) for one in told.stdout.split()])
    compiled = evaluate(*changed_sample("cold_water", 3)).worst.ravel()
    assert np.isfinite(plain).all()
    np.testing.assert_allclose(plain, compiled, rtol=1e-9)
