"""What a user meets, on record: python -m tests.golden says what became different."""
