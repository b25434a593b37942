"""What the numbers say to do next: threads and torques."""
