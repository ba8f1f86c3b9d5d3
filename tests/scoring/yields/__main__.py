"""`python -m tests.scoring.yields SEED ...`"""

from .report import main

if __name__ == "__main__":
    main()
