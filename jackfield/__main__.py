"""`python -m jackfield` does what the command does."""

from jackfield.main import main

raise SystemExit(main())
