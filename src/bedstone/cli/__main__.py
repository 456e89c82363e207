"""The command line as a module: `python -m bedstone.cli`."""

from bedstone.cli import main

if __name__ == "__main__":
    main()
