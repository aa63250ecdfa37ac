"""The door for `python -m falsework`."""

from falsework.faces.cli.main import main

if __name__ == "__main__":
    main()
