"""Counts the arithmetic of one solve and tells how far its time is from what the machine could do at best.

``uv run python benchmarks/operations.py``: the compiled solve is timed on one core; a second process runs the same
cases with the compiler off and counts each operation as the interpreter carries it out (operations on indices count
too). The machine's own rates come from loops that do nothing else: operations that do not wait for each other, as a
perfect program would have them, and operations that each wait for the last.
"""

from __future__ import annotations

import dis
import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from functools import cache
from time import process_time
from types import CodeType, FrameType
from typing import Any

import conftest  # noqa: F401  (adds the folders of the tests to the path)
import numba
import numpy as np
import workloads

CASES = 20
CHEAP = {"+": "add or multiply", "-": "add or multiply", "*": "add or multiply", "/": "divide", "**": "power"}
FUNCTIONS = {"exp": "exponential", "expm1": "exponential", "tanh": "exponential", "log": "logarithm",
             "log1p": "logarithm", "sqrt": "root"}
KINDS = ("add or multiply", "compare", "divide", "root", "exponential", "logarithm", "power")
#: Independent values that one turn of a timing loop works on.
LANES = 4096


class CountingNumpy:
    """numpy whose functions of numbers are counted."""

    def __init__(self, counts: Counter[str]) -> None:
        self._counts = counts

    def __getattr__(self, name: str) -> Any:
        """The function of numpy, counted when it is one of FUNCTIONS."""
        function = getattr(np, name)
        if name not in FUNCTIONS:
            return function

        def counted(*arguments: Any) -> Any:
            self._counts[FUNCTIONS[name]] += 1
            return function(*arguments)
        return counted


@cache
def kinds_of(code: CodeType) -> dict[int, str]:
    """The counted instructions of a function by their place."""
    found, last = {}, None
    for instruction in dis.get_instructions(code):
        if instruction.opname == "BINARY_OP" and (kind := CHEAP.get(instruction.argrepr.rstrip("="))):
            whole = kind == "power" and last is not None and isinstance(last.argval, int)
            found[instruction.offset] = "add or multiply" if whole else kind    # the compiler multiplies
        elif instruction.opname == "COMPARE_OP":
            found[instruction.offset] = "compare"
        elif instruction.opname == "UNARY_NEGATIVE":
            found[instruction.offset] = "add or multiply"
        last = instruction
    return found


def count() -> dict[str, float]:
    """Operations of one solve, mean over CASES; for a process with the compiler switched off."""
    work, counts = workloads.kernel_batch(CASES), Counter[str]()

    def each(frame: FrameType, event: str, _argument: Any) -> Any:
        frame.f_trace_opcodes, frame.f_trace_lines = True, False
        if event == "opcode" and (kind := kinds_of(frame.f_code).get(frame.f_lasti)):
            counts[kind] += 1
        return each

    for name, module in list(sys.modules.items()):
        if name.startswith("wetpath.") and getattr(module, "np", None) is np:
            vars(module)["np"] = CountingNumpy(counts)
    sys.settrace(each)
    work()
    sys.settrace(None)
    return {kind: counts[kind] / CASES for kind in KINDS}


def rate_of(kind: str) -> tuple[float, float]:
    """Least time of one operation [s]: of many that are independent, and of one that waits for the last."""
    one: Callable[[float], float] = {
        "add or multiply": lambda x: x * 0.999, "compare": lambda x: x if x > 0.5 else 0.7,
        "divide": lambda x: 1.1 / x, "root": lambda x: np.sqrt(x),  # noqa: PLW0108  (compiled: no ufunc)
        "exponential": lambda x: np.exp(-x),
        "logarithm": lambda x: np.log(1.5 + x), "power": lambda x: x ** 0.237}[kind]
    step = numba.njit(one)

    @numba.njit(fastmath={"contract"}, error_model="numpy")
    def independent(values: Any, turns: int) -> None:
        for _ in range(turns):
            for lane in range(values.size):
                values[lane] = step(values[lane])

    @numba.njit(error_model="numpy")
    def waiting(value: float, turns: int) -> float:
        for _ in range(turns):
            value = step(value)
        return value

    def least(work: Callable[[], Any], operations: int) -> float:
        work()
        times = []
        for _ in range(7):
            start = process_time()
            work()
            times.append(process_time() - start)
        return min(times) / operations

    values = np.linspace(0.6, 1.4, LANES)
    return least(lambda: independent(values, 400), 400 * LANES), least(lambda: waiting(0.9, 400_000), 400_000)


def kernel_time() -> float:
    """Least process time of the compiled solve of one case on one core [s]."""
    work, times = workloads.kernel_batch(CASES), []
    work()
    for _ in range(50):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times) / CASES


def main() -> None:
    """Print a row for each kind of operation and what remains."""
    counted = subprocess.run([sys.executable, __file__, "--count"], env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
                             capture_output=True, text=True, check=True)
    operations = json.loads(counted.stdout)
    print(f"{'operation':<18}{'in one solve':>14}{'at best, ns':>14}{'waiting, ns':>14}{'at best, us':>14}"
          f"{'waiting, us':>14}")
    best_sum = waiting_sum = 0.0
    for kind, number in operations.items():
        best, waiting = rate_of(kind)
        best_sum, waiting_sum = best_sum + number * best, waiting_sum + number * waiting
        print(f"{kind:<18}{number:>14.0f}{1e9 * best:>14.2f}{1e9 * waiting:>14.2f}{1e6 * number * best:>14.2f}"
              f"{1e6 * number * waiting:>14.2f}")
    took = kernel_time()
    print(f"{'sum':<18}{'':>42}{1e6 * best_sum:>14.2f}{1e6 * waiting_sum:>14.2f}")
    print(f"the compiled solve takes {1e6 * took:.1f} us: {took / best_sum:.1f} times the limit of independent "
          f"operations, {took / waiting_sum:.2f} times that of operations that all wait for each other")


if __name__ == "__main__":
    if "--count" in sys.argv[1:]:
        print(json.dumps(count()))
    else:
        main()
