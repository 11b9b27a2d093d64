"""`python -m tracer`."""

from tracer.cli import main

if __name__ == "__main__":
    main()
