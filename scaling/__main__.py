"""``python -m scaling`` runs the same command as ``scaling``."""

from scaling.command.cli import main

if __name__ == "__main__":
    main()
