"""Any text that a person can type is kept as it is, or refused with the file untouched."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.errors import InputError
from balance.job.append import append_entry
from balance.job.entries import written_mass
from balance.job.load import read_job
from balance.units import read


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("any") / "job.toml"


@given(st.text(max_size=60))
@settings(max_examples=100, deadline=None)
def test_any_text(path: Path, text: str) -> None:
    path.write_text(
        'format = 1\njob = {name = "any"}\n'
        'engine = {layout = "single", stroke = 80, rod_length = 130, bore_spacing = 90}\n'
        'parts.pistons = [{mark = "P1"}]\n'
    )
    before = path.read_bytes()
    entry = {"part": "P1", "value": "420.3 g", "instrument": text}
    try:
        append_entry(path, "weighings", entry)
        kept = read_job(path).weighings[-1].instrument
    except InputError:
        kept = None
    if kept is None:
        assert not text.isprintable()
        assert path.read_bytes() == before
    else:
        assert kept == text


@given(st.decimals("0.1", "99999", places=2), st.sampled_from(["g", "kg", "oz", "lb"]))
def test_what_was_typed_is_what_stands_in_the_file(value: object, unit: str) -> None:
    bare = written_mass(f" {value}", unit=unit)
    assert bare.text == f"{value} {unit}"
    assert bare.mass_g == read(bare.text, "mass")
    assert written_mass(bare.text, unit="g") == bare
