"""``python -m wetpath`` is the command line."""

if __name__ == "__main__":
    from wetpath.faces.cli.main import run

    run()
