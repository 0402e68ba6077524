"""A horn of a deck's own: what is missing, and what nobody could hear."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.errors import FaultsError

HEAD = 'title = "Own"\npatterns = ["1-2-3-1"]\nkeys = ["C"]\n[horn]\nname = "Serpent"\n'
ROWS = {"clef": '"bass"', "low": '"C2"', "high": '"F4"'}


def horn(**rows: str) -> list[str]:
    """The faults of a deck with such a horn, each without its place."""
    text = HEAD + "".join(f"{key} = {value}\n" for key, value in rows.items())
    try:
        loads(text, "deck.toml")
    except FaultsError as caught:
        return [str(fault) for fault in caught.faults]
    return []


@pytest.mark.parametrize("missing", list(ROWS))
def test_each_row_that_a_horn_must_have_is_asked_for(missing: str) -> None:
    assert horn(**ROWS) == []
    (fault,) = horn(**{key: value for key, value in ROWS.items() if key != missing})
    assert f"horn: {missing} is missing" in fault


@pytest.mark.parametrize(
    ("low", "high", "heard"),
    [("C0", "C2", True), ("B-1", "C2", False), ("C5", "C9", True), ("C5", "C#9", False)],
)
def test_a_horn_sounds_where_it_can_be_heard(low: str, high: str, heard: bool) -> None:
    faults = horn(clef='"bass"', low=f'"{low}"', high=f'"{high}"')
    assert (faults == []) is heard
    if not heard:
        assert "is out of hearing" in faults[0]
        assert "expected 12 to 120" in faults[0]


@pytest.mark.parametrize(("count", "refused"), [(200, False), (201, True)])
def test_a_list_has_at_most_two_hundred(count: int, refused: bool) -> None:
    degrees = ", ".join(["1"] * count)
    text = f'title = "x"\npatterns = ["1-2-3-1"]\nkeys = ["C"]\ndegrees = [{degrees}]\n'
    with pytest.raises(FaultsError) as caught:  # 1 stands there twice in any case
        loads(text, "deck.toml")
    said = [str(fault) for fault in caught.value.faults]
    assert any(f"at most 200 in a list, found {count}" in fault for fault in said) is refused


@pytest.mark.parametrize("count", [99, 100, 101, 150])
def test_a_hundred_faults_are_named_and_then_that_there_are_more(count: int) -> None:
    text = 'title = "x"\ninstrument = "alto_sax"\npatterns = ["1-2-3-1"]\nkeys = ["C"]\n'
    text += "".join(f"wish{n} = 1\n" for n in range(count))
    with pytest.raises(FaultsError) as caught:
        loads(text, "deck.toml")
    said = [str(fault) for fault in caught.value.faults]
    assert sum("wish" in fault for fault in said) == min(count, 100)
    assert len(said) == min(count, 100) + (count > 100)
