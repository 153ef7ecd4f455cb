"""Jobs in processes of their own."""

import os
import subprocess
import sys
from multiprocessing import get_context

from render.catalogue.crew import as_done


def test_two_jobs_run_at_once():
    """Each waits for the other, so that one after another would never end."""
    meeting = get_context("fork").Barrier(2)

    def meet(_):
        meeting.wait(timeout=30)
        return os.getpid()

    at_work = set(as_done(meet, range(4), 2, 1.0))
    assert len(at_work) == 4, "each job has a process of its own"
    assert os.getpid() not in at_work


def test_all_jobs_are_done_once_whatever_the_number_of_processes():
    for processes in (1, 3, 9):
        assert sorted(as_done(lambda n: n * n, range(5), processes, 1.0)) == [0, 1, 4, 9, 16]


def test_ctrl_c_while_processes_start_is_not_lost():
    """The signal comes from within the hooks of a fork, where Python would swallow it."""
    script = (
        "import os, signal\n"
        "from render.catalogue.crew import as_done\n"
        "parent = os.getpid()\n"
        "os.register_at_fork(after_in_parent=lambda: os.kill(parent, signal.SIGINT))\n"
        "try:\n"
        "    list(as_done(abs, range(3), 2, 1.0))\n"
        "except KeyboardInterrupt:\n"
        "    print('heard')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.stdout.strip() == "heard", done.stderr
