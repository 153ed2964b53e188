"""`python -m kitplan`."""

from kitplan.cli.main import run

if __name__ == "__main__":
    run()
