"""`python -m pipeline` is the same command as `guardleaf`."""

from pipeline.cli import main

if __name__ == "__main__":
    main()
