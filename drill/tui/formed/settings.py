"""The settings as a form, in a player's words."""

from __future__ import annotations

from drill.tui.outside import SettingsDesk, ShownSetting
from drill.tui.views.form import Row, RowKind
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToPick, ToStart, ToTapping
from drill.wording.calibrating import LATENESS, LATENESS_HELP, lateness_told
from drill.wording.forms import (
    AS_THE_DECK_SAYS,
    ASK_AGAIN,
    from_next_start,
    outweighed,
    setting_help,
)
from drill.wording.settings import KINDS, setting_label, setting_value

AGAIN = "again"
"""The row that asks the questions of the first start again."""
LATE = "lateness"
"""The row that tells how late the output sounds, and finds it anew."""
_OUTPUT = "backend"
_MANY = 6
"""So many values are chosen from a list."""
USER_FILE = "user"
"""How the origin of what the settings file says begins."""
_LATER = ("backend", "color", "motion")
"""Settings that count from the next start on."""
_KINDS = "practice.kinds"
_DECK = "deck"


class SettingsForm:
    """Every setting; what is changed takes effect at once, or is said to count later."""

    title = "Settings"
    said = ""

    def __init__(self, program: Program, desk: SettingsDesk) -> None:
        self._program, self._desk = program, desk

    def rows(self) -> tuple[Row, ...]:
        found = [_row(each) for each in self._desk.settings()]
        at = next((i + 1 for i, row in enumerate(found) if row.name == _OUTPUT), len(found))
        player = self._program.studio.player
        if player is not None:
            value = lateness_told(player.state)
            found.insert(at, Row(LATE, LATENESS, value, RowKind.OPEN, LATENESS_HELP))
        label, told = ASK_AGAIN
        return (*found, Row(AGAIN, label, kind=RowKind.ACT, help=told))

    def turn(self, name: str, by: int) -> str:
        here = self._setting(name)
        at = here.choices.index(here.value) if here.value in here.choices else -by
        return self.put(name, here.choices[(at + by) % len(here.choices)])

    def put(self, name: str, text: str) -> str:
        said = self._desk.put(name, text)
        if said:
            return said
        self._program.follow()
        here = self._setting(name)
        told = f"{setting_label(name)}: {setting_value(name, here.value)}"
        if here.value != text and here.origin not in ("default", "") and "file" not in here.origin:
            return outweighed(here.origin, setting_value(name, here.value))
        return from_next_start(told) if name in _LATER else told

    def press(self, name: str) -> None:
        if name == AGAIN:
            self._program.go(ToStart(again=True))
            return
        if name == LATE:
            self._program.go(ToTapping())
            return
        here = self._setting(name)
        if name == _KINDS:
            choices = (
                Choice(_DECK, AS_THE_DECK_SAYS),
                *(Choice(each, KINDS[each]) for each in here.words),
            )
            marked = tuple(here.value.replace(",", " ").split())
            pick = Pick(setting_label(name), choices, here.help, several=True, marked=marked)
        else:
            labels = (Choice(each, setting_value(name, each)) for each in here.choices)
            chosen = here.choices.index(here.value) if here.value in here.choices else 0
            pick = Pick(setting_label(name), tuple(labels), here.help, chosen=chosen)

        def done(taken: tuple[str, ...]) -> None:
            kinds = [each for each in taken if each != _DECK or len(taken) == 1]
            self.said = self.put(name, ", ".join(kinds))
            self._program.back()

        self._program.go(ToPick(pick, done))

    def _setting(self, name: str) -> ShownSetting:
        return next(each for each in self._desk.settings() if each.name == name)


def _row(setting: ShownSetting) -> Row:
    kind = RowKind.TEXT
    if setting.choices:
        kind = RowKind.OPEN if len(setting.choices) > _MANY else RowKind.TURN
    elif setting.name == _KINDS:
        kind = RowKind.OPEN
    plain = setting.origin == "default" or setting.origin.startswith(USER_FILE)
    where = "" if plain else f" ({setting.origin})"
    return Row(
        setting.name,
        setting_label(setting.name),
        setting_value(setting.name, setting.value) + where,
        kind,
        setting_help(setting.help, setting.name),
        setting.value,
    )
