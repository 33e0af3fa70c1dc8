"""Speed of the coupled solve, of what it stands on, and of the plain way to do the same."""

import tempfile

import pytest
import workloads

pytest.importorskip("pytest_benchmark")


def test_one_case_kernel_only(benchmark):
    benchmark(workloads.kernel_batch(1))


def test_one_case_kernel_only_warm(benchmark):
    benchmark(workloads.kernel_batch(1, warm=True))


def test_one_case_all_of_it(benchmark):
    benchmark(workloads.whole_batch(1))


@pytest.mark.parametrize("full", [False, True], ids=["without flow limits", "with every check"])
@pytest.mark.parametrize("cases", [1, 4])
def test_rating(benchmark, cases, full):
    benchmark(workloads.rating_of("butane_reflux", cases=cases, full=full))


@pytest.mark.parametrize("count", [100, 1000, 10_000, 100_000])
def test_batch(benchmark, count):
    work = workloads.whole_batch(count)
    benchmark.pedantic(work, rounds=5 if count < 100_000 else 2, warmup_rounds=1)
    benchmark.extra_info["us per case"] = benchmark.stats.stats.median / count * 1e6


@pytest.mark.parametrize("duty", workloads.DUTIES)
def test_frame_w1(benchmark, duty):
    benchmark.extra_info["largest difference of a flow"] = workloads.w1_difference(duty)
    benchmark(workloads.w1_package(duty))


@pytest.mark.parametrize("interface", ["PropsSI", "AbstractState"])
@pytest.mark.parametrize("duty", workloads.DUTIES)
def test_frame_w1_plain(benchmark, duty, interface):
    benchmark.pedantic(workloads.w1_plain(duty, interface), rounds=2)


def test_lookup_of_states(benchmark):
    benchmark(workloads.lookup_states())
    benchmark.extra_info["ns per state"] = benchmark.stats.stats.median / workloads.POINTS * 1e9


def test_lookup_of_vapour_pressures(benchmark):
    benchmark(workloads.lookup_vapour_pressures())
    benchmark.extra_info["ns per temperature"] = benchmark.stats.stats.median / workloads.POINTS * 1e9


def test_coupling_response(benchmark):
    benchmark(workloads.coupling())


@pytest.mark.parametrize("size", [(60, 40), (200, 200)])
def test_window_with_every_check(benchmark, size):
    benchmark.pedantic(workloads.window_map_of(*size), rounds=3, warmup_rounds=1)


def test_window_of_needed_suction_pressure(benchmark):
    benchmark.pedantic(workloads.window_search(60, 40), rounds=3, warmup_rounds=1)


@pytest.mark.skipif(not workloads.command_line_exists(), reason="no command line yet")
def test_process_of_a_rating(benchmark):
    benchmark.pedantic(workloads.rate_command(), rounds=3, warmup_rounds=1)


def test_first_solve_in_an_empty_cache(benchmark):
    with tempfile.TemporaryDirectory() as folder:
        benchmark.pedantic(workloads.first_solve, args=(folder,), rounds=1)
