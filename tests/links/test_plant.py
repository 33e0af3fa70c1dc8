"""The virtual plant: what its instruments read, against the model they stand on; upsets; the command."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

pytest.importorskip("asyncua")

from wetpath.edge.files import load_document, loads_document
from wetpath.edge.mapping import SIGNAL_KINDS, MappingFile
from wetpath.errors import InputError
from wetpath.links.opc_server import UNITS, PlantServer, Record
from wetpath.links.virtual_pump import VirtualPump
from wetpath.rating.rate import Rating
from wetpath.services.demo import demo_folder
from wetpath.services.plant import Asked, plant_of
from wetpath.upsets import Upset, simulate
from wetpath.watching.samples import Signal


def test_signals_of_mapping_watch_and_plant_are_the_same() -> None:
    assert set(SIGNAL_KINDS) == {one.value for one in Signal} == {one.value for one in UNITS}


def test_steady_readings_spread_around_the_rated_state(pump: VirtualPump) -> None:
    line = simulate(pump.rating, [], case=pump.case, duration=5.0)
    _, readings = pump.readings(1000, 4000)
    for which, true in ((Signal.FLOW, line.flow), (Signal.SUCTION_PRESSURE, line.suction_pressure),
                        (Signal.MOTOR_POWER, line.motor_power), (Signal.SUCTION_TEMPERATURE, line.suction_temperature),
                        (Signal.SPEED, line.outer_speed)):
        value = readings[which]
        assert value.std() > 0
        assert abs(value.mean() - true[0]) < 5 * value.std() / np.sqrt(value.size)
        assert abs(np.corrcoef(value[1:], value[:-1])[0, 1]) < 0.1


def test_same_seed_same_readings_however_they_are_asked_for(rating: Rating, pump: VirtualPump) -> None:
    again = VirtualPump(rating, seed=7)
    _, whole = pump.readings(500, 700)
    parts = [again.readings(begin, 100)[1] for begin in range(500, 1200, 100)]
    for which, value in whole.items():
        assert np.array_equal(value, np.concatenate([part[which] for part in parts]))
    _, other = VirtualPump(rating, seed=8).readings(500, 700)
    assert not np.allclose(other[Signal.FLOW], whole[Signal.FLOW], rtol=1e-6)


def test_readings_of_an_upset_follow_the_model_behind_its_lag(pump: VirtualPump) -> None:
    pump.with_upset(Upset("hot slug"), 2000.0)()
    times, readings = pump.readings(1990, 120)
    line = simulate(pump.rating, [Upset("hot slug", 1.0)], case=pump.case, duration=200.0)
    true = np.interp(times - 1999.0, line.time, line.suction_temperature)
    tau = 5.0                                    # of the thermometer in the list of default instruments
    expected = true.copy()
    for place in range(1, times.size):
        fine = np.linspace(times[place - 1], times[place], 200)
        value = expected[place - 1]
        for when in fine[1:]:
            value += (np.interp(when - 1999.0, line.time, line.suction_temperature) - value) * (fine[1] - fine[0]) / tau
        expected[place] = value
    noise = readings[Signal.SUCTION_TEMPERATURE][:9].std() + 1e-9
    assert np.abs(readings[Signal.SUCTION_TEMPERATURE] - expected).max() < 6 * noise + 0.1
    assert np.ptp(expected) > 10


def test_second_upset_begins_on_the_way_of_the_first_and_reset_ends_both(pump: VirtualPump) -> None:
    rated = pump.readings(100, 1)[1][Signal.FLOW][0]
    pump.with_upset(Upset("suction strangled"), 1000.0)()
    before = pump.readings(1000, 50)[1]
    pump.with_upset(Upset("below minimum flow"), 1100.0)()
    after = pump.readings(1000, 50)[1]
    for which, value in before.items():
        assert np.allclose(value, after[which], rtol=1e-3)
    assert pump.readings(1200, 1)[1][Signal.FLOW][0] < 0.5 * rated
    assert [one.kind for one in pump.upsets] == ["suction strangled", "below minimum flow"]
    pump.reset()
    assert pump.readings(1200, 1)[1][Signal.FLOW][0] == pytest.approx(rated, rel=0.05)
    pump.with_upset(Upset("hot slug"), 0.0)()
    with pytest.raises(InputError, match="begins too long after the upset before"):
        pump.with_upset(Upset("hot slug"), 90000.0)


def test_upset_called_over_the_server(awaited: Any, new_plant: Any, new_watch: Any, tmp_path: Path) -> None:
    from asyncua import Client

    plant = new_plant(speed=20.0)
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.count() > 5)

    async def call() -> tuple[str, str]:
        async with Client(f"opc.tcp://127.0.0.1:{plant.port}") as client:
            folder = client.get_node("ns=2;s=P-101")
            good = await folder.call_method("2:start_upset", "Discharge closed")
            return good, await folder.call_method("2:start_upset", "bad luck")

    good, bad = awaited(call())
    assert good.startswith("discharge valve closed begins at 20")
    assert bad.startswith('"bad luck" is no upset known here; take one of dry start')
    watch.until(lambda: float(watch.samples.values[Signal.FLOW][-1]) < 1e-3)
    watch.end()


def test_values_before_the_first_reading_are_no_readings(new_plant: Any, new_watch: Any, tmp_path: Path) -> None:
    plant = new_plant(speed=0.2)                 # a reading every five seconds
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.source.state.connected)
    watch.end()
    assert all(value.min() > 0 for value in watch.samples.values.values() if value.size)


def test_record_answers_as_the_standard_of_history_says(awaited: Any) -> None:
    from datetime import UTC, datetime, timedelta

    from asyncua import ua

    async def ask() -> None:                     # a record belongs to the thread it was made in
        record = Record(None)
        record.add(("ns=2;s=x", second * 1_000_000, float(second)) for second in range(5000))
        node, begin = ua.NodeId("x", 2), datetime(1970, 1, 1, tzinfo=UTC)

        async def read(start: int, end: int, number: int) -> tuple[list[float], Any]:
            values, more = await record.read_node_history(node, begin + timedelta(seconds=start),
                                                          begin + timedelta(seconds=end), number)
            return [one.Value.Value for one in values], more

        assert await read(10, 14, 0) == ([10, 11, 12, 13, 14], None)
        assert await read(14, 10, 3) == ([14, 13, 12], None)
        first, more = await read(0, 4999, 0)
        assert len(first) == 2000
        assert more == begin + timedelta(seconds=2000)
        record.forget(4_998_000_000)
        assert (await read(0, 9999, 0))[0] == [4998, 4999]
        assert record.newest() == 4999.0
        record.close()

    awaited(ask())


def test_time_of_a_plant_started_again_never_runs_backwards(pump: VirtualPump, tmp_path: Path, port: int) -> None:
    record = Record(tmp_path / "record.sqlite")
    record.add([("ns=2;s=P-101/flow", 5_000_000_000_000_000, 1.0)])
    record.close()
    server = PlantServer({"P-101": pump}, port=port, record=tmp_path / "record.sqlite")
    assert server.begins == 5_000_000_001.0
    server.record.close()


def test_port_in_use_is_told(awaited: Any, new_plant: Any, pump: VirtualPump) -> None:
    plant = new_plant()

    async def second() -> None:
        server = PlantServer({"P-101": pump}, port=plant.port)
        try:
            await server.start()
        finally:
            await server.stop()

    with pytest.raises(InputError, match="cannot be listened at"):
        awaited(second())


@pytest.mark.parametrize(("asked", "words"), [
    (Asked(upsets=["bad luck"]), 'not an upset known here'),
    (Asked(values=["over=3 s"]), "belongs to an upset, and none is asked for"),
    (Asked(speed=0.0), "is outside 0.1 to 1000"),
    (Asked(at="soon"), "does not begin with a number"),
    (Asked(record=Path("/nowhere/at/all")), "cannot be used for the record of the plant")])
def test_wrong_questions_are_told(asked: Asked, words: str) -> None:
    with pytest.raises(InputError, match=words):
        plant_of(asked)


def test_command_serves_writes_its_mapping_and_stops(tmp_path: Path, port: int, new_watch: Any) -> None:
    from wetpath.links.live import LiveSource

    command = [sys.executable, "-m", "wetpath", "plant", "--port", str(port), "--speed", "20", "--mapping",
               str(tmp_path / "mapping.toml"), "--upset", "suction strangled", "--at", "30 s"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        line = ""
        while "code" not in line:                # the last caution
            line = process.stdout.readline()
            assert line, process.stderr.read() if process.stderr else ""
        source = LiveSource(f"opc.tcp://127.0.0.1:{port}", load_document(tmp_path / "mapping.toml", MappingFile),
                            "P-101", tmp_path / "journal", pauses=(0.2,))
        pressures: list[float] = []
        for samples in source:
            pressures += samples.values[Signal.SUCTION_PRESSURE].tolist()
            if pressures[-1] < 0.6 * pressures[0]:
                source.stop()
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=20)
    assert process.returncode == 130
    assert told.splitlines()[-1] == "Stopped."


def test_demo_mapping_reads_and_says_it_is_invented() -> None:
    for path in (demo_folder() / "mapping").glob("*.toml"):
        assert "nvented" in load_document(path, MappingFile).name


def mapping_text(tag: str, before: str = "") -> str:
    return f'wetpath = "mapping/1"\nname = "x"\n{before}\n[[tags]]\ntag = "A"\npump = "P"\n{tag}\n'


@pytest.mark.parametrize(("text", "told"), [
    (mapping_text('signal = "suction_pressure"\nunit = "bar"'),
     'tags[1].unit = "bar" is absolute or gauge?\n'
     '  do:  write "bar a" (absolute) or "bar g" (gauge, above the atmosphere)'),
    (mapping_text('signal = "flow"\nunit = "kg/s"'),
     'tags[1].unit = "kg/s" is a mass flow; a volume flow is asked\n'
     '  why: mass flow is volume flow times density\n  do:  write a unit of volume flow, for example "m3/h"'),
    (mapping_text('signal = "flow"\nunit = "bananas"'),
     'tags[1].unit = "bananas" is not a unit known here.\n'
     '  do:  write a unit of volume flow, for example "m3/h"'),
    (mapping_text('signal = "suction_pressure"\nunit = "bar g"\ninstrument_range = "16 0 bar g"'),
     'tags[1].instrument_range = "16 0 bar g" is not a lowest and a highest reading\n'
     '  do:  write two rising numbers with one unit, for example "0 16 bar g"'),
    (mapping_text('signal = "flow"\nunit = "m3/h"', 'time_zone = "Europe/Berlni"'),
     'time_zone = "Europe/Berlni" is not a time zone known here. Did you mean Europe/Berlin, Europe/Helsinki or '
     'Europe/Dublin?\n'
     '  do:  write its IANA name, for example "Europe/Berlin"'),
    (mapping_text('signal = "flow"\nunit = "m3/h"', 'time_format = "german"'),
     'time_format = "german" is not a format of time known here\n'
     '  do:  write "ISO 8601", "seconds since 1970", "milliseconds since 1970", or a pattern as "%d.%m.%Y %H:%M:%S"'),
    (mapping_text('signal = "flow"\nunit = "m3/h"\n[[tags]]\ntag = "B"\npump = "P"\nsignal = "flow"\nunit = "m3/h"'),
     'tags[2].tag = "B" is flow of "P", and so is "A"\n  do:  keep the better instrument of the two'),
    (mapping_text('signal = "flow"\nunit = "m3/h"', 'decimal_mark = ","'),
     'decimal_mark = "," is the separator of columns too\n  do:  write separator = ";"')])
def test_mapping_files_teach(text: str, told: str) -> None:
    with pytest.raises(InputError) as error:
        loads_document(text, MappingFile)
    said = "\n".join(line for line in str(error.value).splitlines() if not line.startswith(("   ", "  >")))
    assert re.sub(r"^line \d+: ", "", said) == told


def test_services_find_the_pump_and_tell_what_is_wrong(tmp_path: Path) -> None:
    from wetpath.services.measured import historian_of, live_source

    demo = demo_folder() / "mapping" / "unit_12.toml"
    with pytest.raises(InputError, match=r"the mapping file has several pumps: P-101, P-102"):
        historian_of([], demo)
    with pytest.raises(InputError, match=r'pump = "P-103" is not a pump known here. Did you mean P-101 or P-102\?'):
        historian_of([], demo, "P-103")
    with pytest.raises(InputError, match="is not the address of a server of OPC UA"):
        live_source("http://127.0.0.1", demo, tmp_path, "P-101")
    (tmp_path / "a.csv").write_text("Timestamp;Tag;Value;Quality\n"
                                    "03.03.2026 09:29:59;12FT101.PV;100;Good\n03.03.2026 09:30:00;12FT101.PV;36;192\n")
    found = historian_of([tmp_path / "a.csv"], demo, "P-101")
    flow = np.concatenate([part.values[Signal.FLOW] for part in found])
    assert flow == pytest.approx([100 * 231 * 0.0254**3 / 60, 0.01])


def test_missing_extra_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    from wetpath.services import measured

    monkeypatch.setattr(measured, "find_spec", lambda name: None if name == "asyncua" else object())
    with pytest.raises(InputError) as told:
        measured.need_extra()
    assert str(told.value) == ('this command needs the extra "plant", which is not installed (asyncua)\n'
                               '  do:  install it: pip install "wetpath[plant]"')


@pytest.mark.parametrize("text", ["", "bar g", "ns=two;s=x", "nonsense"])
def test_node_of_a_tag_has_to_be_one(text: str, tmp_path: Path) -> None:
    from wetpath.links.live import LiveSource

    mapping = loads_document(mapping_text(f'signal = "flow"\nunit = "m3/h"\nnode = "{text}"'), MappingFile)
    with pytest.raises(InputError, match='node of "A"'):
        LiveSource("opc.tcp://127.0.0.1:1", mapping, "P", tmp_path / "journal")
