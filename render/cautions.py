"""What a person should know before trusting the picture of a piece."""

from render.errors import Place, Remark
from render.plan.model import WorkingPlan
from render.settle.reach import pins_out_of_reach
from render.threads.model import ThreadPaths


def cautions(plan: WorkingPlan, paths: ThreadPaths, state: str) -> tuple[Remark, ...]:
    """Say where the picture of a piece is not to be trusted.

    Parameters
    ----------
    plan, paths
        What was worked, and its settled threads.
    state
        ``pillow`` while the pins hold; no thread is asked to lie at its pin otherwise.
    """
    return (*_tangles(paths), *(_out_of_reach(plan, paths) if state == "pillow" else ()))


def _tangles(paths: ThreadPaths) -> tuple[Remark, ...]:
    """Say where threads did not settle as they were worked."""
    if not len(paths.tangles):
        return ()
    x, y = paths.tangles[0].tolist()
    more = f", and in {len(paths.tangles) - 1} more places" if len(paths.tangles) > 1 else ""
    message = f"threads lie across each other here{more}, as they were not worked: do not trust it"
    return (Remark(message, Place("the picture", x, y), "tangle"),)


def _out_of_reach(plan: WorkingPlan, paths: ThreadPaths) -> tuple[Remark, ...]:
    """Say which pins the threads could not be laid at."""
    holes = pins_out_of_reach(plan, paths).tolist()
    if not holes:
        return ()
    more = f", nor at {len(holes) - 1} more" if len(holes) > 1 else ""
    message = (
        f"the threads worked at this pin cannot lie there{more}: is one area marked over another?"
    )
    return (Remark(message, plan.pricking.place(holes[0]), "tangle"),)
