"""Where the command line starts: `python -m kitplan`, and the command `kitplan`."""

import atexit
import gc
import os
import signal

# Until the command line listens, an interrupt just ends the process: loading takes long enough to
# be interrupted, and would answer with a traceback. Where interrupts are ignored they stay ignored.
if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
    signal.signal(signal.SIGINT, signal.SIG_DFL)

# Matrices are small here: a second thread of the linear algebra beneath numpy only waits for work,
# and does so by running. It is asked when numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from kitplan.cli.main import run

# What is left at the end goes with the process: looking through all of it for circles of garbage
# takes a tenth of the time of some commands.
atexit.register(gc.freeze)

if __name__ == "__main__":
    run()
