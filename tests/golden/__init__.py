"""What a user meets, recorded: python -m tests.golden says what became different."""
