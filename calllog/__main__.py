"""Begin the program by ``python -m calllog``."""

from calllog.cli import main

if __name__ == "__main__":
    main()
