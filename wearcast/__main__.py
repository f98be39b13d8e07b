"""Run the commands: ``python -m wearcast``."""


def main() -> None:
    """Hand over to the command line."""
    from wearcast.cli.main import main as run

    run()


if __name__ == "__main__":
    main()
