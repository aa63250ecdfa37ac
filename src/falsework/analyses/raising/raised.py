"""What belongs to an order of work?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.analyses.raising.result import Fragile, Plan, Schedule


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """An order of work, how the lab is after each step of it, and its calendar.

    Attributes:
        plan: the order; without steps where nothing is left to raise, or where it is stuck.
        fragile: one for each moment of the plan; empty where it is stuck.
        schedule: where a day to begin on was given and there are steps; its slots begin in the order of the steps.
    """

    plan: Plan
    fragile: tuple[Fragile, ...]
    schedule: Schedule | None = None
