"""What people and programs read: problems and annotations as text and JSON, plain tab."""
