"""What is printed on paper: one press, and a module for each kind of sheet."""
