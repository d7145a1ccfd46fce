"""A result together with the case and cards of its study: who owns which datum of a number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linewright.cards.model import Shelf
from linewright.case.model import Case

Row = dict[str, Any]


@dataclass(frozen=True)
class Scene:
    """A result with the case and cards that it was made from."""

    result: Row
    case: Case
    shelf: Shelf

    def owners(self, rope: Row, line: str = "", state: Row | None = None) -> list[str]:
        """Who may own the data of a number, nearest first: case, contacts, rope, fibre, practice, climate."""
        groups = [item for item in self.case.lines if not line or item.name == line]
        names = [item.name for item in groups]
        names += [f"{item.name}, {part}" for item in groups for part in ("tail", *(use.name for use in item.contacts))]
        names += [f"compared {rope['card']}"]
        names += [name for berth, item in self._states(state) for name in _typed_owners(berth, item, names)]
        names += ["case", "criteria"]
        names += [use.card for item in groups for use in item.contacts]
        for card in rope["card"].split(" + "):
            names += [card, *([self.shelf.ropes[card].words["fibre"]] if card in self.shelf.ropes else [])]
        names += [item.practice for item in groups]
        return names + [berth.climate for berth in self.case.berths if state is None or berth.name == state["berth"]]

    def _states(self, state: Row | None) -> list[tuple[str, str]]:
        pairs = [(berth.name, item.name) for berth in self.case.berths for item in berth.states]
        return pairs if state is None else [(state["berth"], state["name"])]


def _typed_owners(berth: str, state: str, lines: list[str]) -> list[str]:
    return [f"{berth}, {state}", *(f"{berth}, {state}: {line}" for line in lines), berth]
