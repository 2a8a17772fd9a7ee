"""What is printed on the terminal."""
