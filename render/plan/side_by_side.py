"""Which pairs hang side by side, and in what order they end."""

from dataclasses import replace

from render.plan.model import Throwing, WorkingPlan


def hangs_on(plan: WorkingPlan, throwing: Throwing) -> bool:
    """Tell whether a pair hangs from its last stitch to the end of the piece."""
    return throwing.end and throwing.after == len(plan.moves)


def hanging_at(plan: WorkingPlan, stitch: int) -> list[int]:
    """Return the legs side by side, left to right, just after the stitch before this one."""
    row: list[int] = []
    hangings, throwings = list(plan.hangings[::-1]), list(plan.throwings[::-1])
    for number in range(stitch):
        while hangings and hangings[-1].before == number:
            hung = hangings.pop()
            row.insert(row.index(hung.beside) + 1 if hung.beside >= 0 else 0, hung.leg)
        while throwings and throwings[-1].after == number:
            row.remove(throwings.pop().leg)
        place = row.index(int(plan.taken[number, 0]))
        row[place : place + 2] = plan.given[number].tolist()
    return row


def ended_in_order(plan: WorkingPlan) -> WorkingPlan:
    """Return a plan in which what hangs at the end of the piece ends from left to right."""
    place = {leg: k for k, leg in enumerate(hanging_at(plan, len(plan.moves)))}
    on_the_way = [t for t in plan.throwings if not hangs_on(plan, t)]
    at_last = [t for t in plan.throwings if hangs_on(plan, t)]
    at_last.sort(key=lambda t: place[t.leg])
    return replace(plan, throwings=(*on_the_way, *at_last))
