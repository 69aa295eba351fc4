"""A sender to be killed: each line on stdin forks a child that says who it is and sends what is due."""

from __future__ import annotations

import os
import sys

import django


def main() -> None:
    """The child's number goes to stdout before it begins, and a line when it has ended, one way or the other."""
    django.setup()
    # Django's registry must be there first.
    from django.db import connections

    from quoting.services.outbox import send_due

    for line in sys.stdin:
        if line.strip() == "end":
            return
        connections.close_all()
        child = os.fork()
        if child == 0:
            print(os.getpid(), flush=True)
            send_due()
            os._exit(0)
        os.waitpid(child, 0)
        print("ended", flush=True)


if __name__ == "__main__":
    main()
