"""The shipped examples: invented jobs, and the program that made them."""
