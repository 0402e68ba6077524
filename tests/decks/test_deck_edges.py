"""How much of a list and how many faults are looked at."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.errors import FaultsError


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
