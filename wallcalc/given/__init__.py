"""What is given: the wall and its file, and the option, read with every problem told at once."""
