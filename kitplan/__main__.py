"""Where the command line starts: `python -m kitplan`, and the command `kitplan`."""

import signal

# Until the command line listens, an interrupt just ends the process: loading takes long enough to
# be interrupted, and would answer with a traceback. Where interrupts are ignored they stay ignored.
if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
    signal.signal(signal.SIGINT, signal.SIG_DFL)

from kitplan.cli.main import run

if __name__ == "__main__":
    run()
