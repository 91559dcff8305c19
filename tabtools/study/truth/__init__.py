"""Whether what a lesson claims of some notes is true, and what is true where it is not: `verdict.py` leads."""
