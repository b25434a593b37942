"""What the numbers say to do next: jobs that belong to no one subsystem."""
