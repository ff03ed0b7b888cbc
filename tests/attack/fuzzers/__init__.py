"""What fuzz.py gives to the program: a file for each kind of input, and engine.py, which tries them."""
