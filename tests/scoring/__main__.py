"""`python -m tests.scoring SEED ...`"""

from .report import main

if __name__ == "__main__":
    main()
