"""``python -m asleft``"""

from asleft.cli.start import run

if __name__ == "__main__":
    run()
