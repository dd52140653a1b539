"""The public names are a tested list: what is gone is missed, what is new is meant."""

import importlib

import pytest

ROOMS = ["parts", "engine", "spin", "metal", "sheet", "job"]
# What code, notebooks and tests outside the repository rely on, room by room.
RELIED_ON = {
    "parts": {
        "average", "match_each", "match_sets", "partition", "rod_ends", "rod_from_centre",
        "rod_from_swing",
    },
    "engine": {
        "Cylinder", "Engine", "Throw", "existing_factor", "harmonics", "layout", "needed",
        "per_throw", "piston", "place", "residual_primary", "shake",
    },
    "spin": {
        "Machine", "allocate", "best_positions", "coefficients", "correction", "from_amplitudes",
        "identify", "judge", "permissible", "separate", "static_and_couple", "to_crank",
        "transfer",
    },
    "metal": {
        "Counterweight", "DrilledHole", "axial_hole", "depth_for", "plan", "radial_hole", "slug",
        "stage", "web_mm",
    },
    "sheet": {"balance_record", "balance_record_html", "polar_chart", "work_sheet", "working"},
    "job": {"Job", "append_entry", "read_job", "read_text", "starter"},
}  # fmt: skip


@pytest.mark.parametrize("room", ROOMS)
def test_every_name_at_the_front_door_is_there(room: str) -> None:
    package = importlib.import_module(f"balance.{room}")
    for name in package.__all__:
        assert getattr(package, name) is not None
    assert RELIED_ON[room] <= set(package.__all__)


def test_the_names_of_the_whole_library() -> None:
    import balance

    for name in balance.__all__:
        assert getattr(balance, name) is not None
    everywhere = set().union(*RELIED_ON.values())
    assert set(balance.__all__) - everywhere <= {
        "Reading", "Results", "RodEnds", "SlugChoice", "Weight", "amount", "degrees", "fold",
        "from_crank", "turn", "vector",
    }  # fmt: skip


def test_an_unknown_name_is_an_attribute_error() -> None:
    import balance

    with pytest.raises(AttributeError, match="module 'balance' has no attribute 'nothing'"):
        _ = balance.nothing


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_is_reached_from_the_package_before_anyone_imported_it(room: str) -> None:
    import balance

    # once a room is loaded, Python keeps it as an attribute: the door is asked as at first
    assert balance.__getattr__(room) is importlib.import_module(f"balance.{room}")
