"""What people and programs get to see, one output a file."""
