"""The settings as a form, in a player's words."""

from __future__ import annotations

from drill.settings.describe import SettingRow
from drill.settings.load import Layer
from drill.tui.desk_settings import about
from drill.tui.views.form import Row, RowKind
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToPick, ToStart, ToTapping
from drill.wording.calibrating import LATENESS, LATENESS_HELP, lateness_told
from drill.wording.forms import ASK_AGAIN, from_next_start, outweighed, setting_help
from drill.wording.settings import AS_THE_DECK_SAYS, KINDS, setting_label, setting_value

AGAIN = "again"
"""The row that asks the questions of the first start again."""
LATE = "lateness"
"""The row that tells how late the output sounds, and finds it anew."""
_OUTPUT = "backend"
_MANY = 6
"""So many values are chosen from a list."""
_LATER = ("backend", "color", "motion")
"""Settings that count from the next start on."""
_KINDS = "practice.kinds"
_DECK = "deck"


class SettingsForm:
    """Every setting; what is changed takes effect at once, or is said to count later."""

    title = "Settings"
    said = ""

    def __init__(self, program: Program) -> None:
        desk = program.studio.context.settings
        assert desk is not None  # whoever asks has looked
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
        here, (_, choices, _) = self._setting(name).shown, about(name)
        at = choices.index(here) if here in choices else -by
        return self.put(name, choices[(at + by) % len(choices)])

    def put(self, name: str, text: str) -> str:
        said = self._desk.put(name, text)
        if said:
            return said
        self._program.follow()
        here = self._setting(name)
        value = setting_value(name, here.shown)
        told = f"{setting_label(name)}: {value}"
        if here.shown != text and here.origin.level in (Layer.FLAG, Layer.ENVIRONMENT):
            return outweighed(str(here.origin), value)
        return from_next_start(told) if name in _LATER else told

    def press(self, name: str) -> None:
        if name == AGAIN:
            self._program.go(ToStart(again=True))
            return
        if name == LATE:
            self._program.go(ToTapping())
            return
        here, (what, choices, words) = self._setting(name).shown, about(name)
        if name == _KINDS:
            kinds = [Choice(_DECK, AS_THE_DECK_SAYS), *(Choice(i, KINDS[i]) for i in words)]
            marked = tuple(here.replace(",", " ").split())
            pick = Pick(setting_label(name), tuple(kinds), what, several=True, marked=marked)
        else:
            labels = (Choice(each, setting_value(name, each)) for each in choices)
            chosen = choices.index(here) if here in choices else 0
            pick = Pick(setting_label(name), tuple(labels), what, chosen=chosen)

        def done(taken: tuple[str, ...]) -> None:
            wanted = [each for each in taken if each != _DECK or len(taken) == 1]
            self.said = self.put(name, ", ".join(wanted))
            self._program.back()

        self._program.go(ToPick(pick, done))

    def _setting(self, name: str) -> SettingRow:
        return next(each for each in self._desk.settings() if each.name == name)


def _row(setting: SettingRow) -> Row:
    name, (what, choices, _) = setting.name, about(setting.name)
    kind = RowKind.TEXT
    if choices:
        kind = RowKind.OPEN if len(choices) > _MANY else RowKind.TURN
    elif name == _KINDS:
        kind = RowKind.OPEN
    plain = setting.origin.level in (Layer.DEFAULT, Layer.USER)
    shown = setting_value(name, setting.shown) + ("" if plain else f" ({setting.origin})")
    return Row(name, setting_label(name), shown, kind, setting_help(what, name), setting.shown)
